"""From readings to evidence, and from evidence to the chance of every set of faults."""
