"""A file that cannot be read: not YAML as it is allowed here, too large, too deep, or not text.

What: tabs, quotes that are not closed, anchors, tags, repeated keys, a file over 2 MB, a
zip that is broken.

Why: nothing in such a file can be trusted, so the knowledge base is not used at all.
Found while the files are read; it cannot be silenced.

Bad::

    faults: &all {positive_cable: {label: "damaged cable}}

Good::

    faults:
      positive_cable: {label: "damaged cable"}
"""
