"""Checks of rules: conditions, conflicts, and what the solved machine says of them."""
