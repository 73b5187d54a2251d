"""What to do next and why: suggestions, verdict, explanation."""
