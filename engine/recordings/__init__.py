"""A recording of voltages and currents over time becomes the readings of its cranks."""
