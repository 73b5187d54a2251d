"""The arithmetic of chances: what readings say of sets of faults, whatever the circuit is."""
