"""Checks of a knowledge base, one module a check; each yields problems with file and line."""
