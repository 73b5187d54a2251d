"""Checks of single entries: their fields, names, sources, cautions and repairs."""
