"""What was typed at the prompt, and what it means there; pure functions."""
