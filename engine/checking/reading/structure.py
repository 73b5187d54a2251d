"""A field that is missing, misspelt, or of the wrong sort.

What: everything that the records do not define (and so the published JSON Schema refuses),
and pairs of fields that exclude each other.

Why: a misspelt optional field would else be passed over without a word.
Found while the files are read; it cannot be silenced.

Bad::

    repairs:
      clean_splice: {label: clean the splice, minuts: 15}

Good::

    repairs:
      clean_splice: {label: clean the splice, minutes: 15}
"""
