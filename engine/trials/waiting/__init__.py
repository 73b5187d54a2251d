"""Trials of waiting for a failure: what is left connected, sound machines, proofs by good cranks."""
