"""A text or a file that is not read as it was meant.

What: a sentence without quotes that the sign # cuts short; a text in typographic quotes, which become part
of it; a file with knowledge in it that is passed over for its name, or stands among the cases.

Why: the file looks right to whoever wrote it, and half of it is not there.

Bad::

    because: Seen on truck #4 and others.

Good::

    because: "Seen on truck #4 and others."
"""
