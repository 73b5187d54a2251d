"""What is shown: pure functions from a case to lines, no terminal."""
