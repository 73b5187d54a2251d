"""Checks of the circuit: its shape, and the sums of its readings."""
