"""A pasted reply read as readings, questions and notes."""
