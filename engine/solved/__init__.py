"""The solved machine: a circuit with a known fault that can be cranked and measured."""
