"""Trials: how well the reasoning does on machines whose fault is known."""
