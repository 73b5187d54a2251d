"""A text cut into pieces: words in the form that is compared, figures with their units."""
