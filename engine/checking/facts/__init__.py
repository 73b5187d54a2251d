"""Checks of fact rules: what they derive from what."""
