"""From the entries of a case to evidence, and from evidence to the chance of every set of faults."""
