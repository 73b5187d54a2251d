"""Texts made safe for a terminal and fitted into columns; pure functions."""
