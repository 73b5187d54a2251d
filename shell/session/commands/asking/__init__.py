"""Session commands that explain and show."""
