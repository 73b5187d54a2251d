"""Observations of a text: the one asked for, those named with a value, phrases that speak for themselves."""
