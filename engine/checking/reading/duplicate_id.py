"""One id written twice in one folder.

What: two entries of a section with the same id, in one file or in two.

Why: only one of them can be meant. (A shop's folder may use an id of the shipped one: its
entry then takes the place of the shipped entry.)
Found while the files are read; it cannot be silenced.

Bad::

    points:
      splice_in: {label: splice, battery side}
    # and in another file
    points:
      splice_in: {label: splice, starter side}

Good::

    points:
      splice_in: {label: splice, battery side}
      splice_out: {label: splice, starter side}
"""
