"""Drawing machines: sound ones, their faults, and how bad these are."""
