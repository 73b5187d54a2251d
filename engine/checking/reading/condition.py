"""A condition that cannot be read: a name, a band or a value that does not exist.

What: ``given``, ``unless``, ``only`` and ``when`` name machine facts, readings and derived
facts; each with one of its values or bands, or with above, below, at_least, at_most.

Why: such a condition would never hold, or always.
Found while the files are read; it cannot be silenced.

Bad::

    given: {system_voltage: 42}

Good::

    given: {system_voltage: 24}
"""
