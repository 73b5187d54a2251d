"""A name that nothing in the knowledge base has.

What: an id of another entry, a kind, a degree or a fact in a formula that does not exist; the
nearest spellings are offered.

Why: what it was to point at would be left out of the reasoning.
Found while the files are read; it cannot be silenced.

Bad::

    repair: replace_positve_cable

Good::

    repair: replace_positive_cable
"""
