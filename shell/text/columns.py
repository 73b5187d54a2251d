"""Texts measured and fitted in columns of a terminal; pure functions.

Wide letters take two columns and accents none; `wcwidth` has the tables. It is imported where a text
needs it, because most texts are ASCII and a command that prints those starts 10 ms sooner.
"""

from __future__ import annotations

import textwrap

from crankpath.shell.text.clean import one_line

_MINUTE, _HOUR, _DAY = 60, 3600, 86400


def age_words(seconds: float) -> str:
    """How long ago, in one word and a number.

    >>> age_words(30), age_words(5400), age_words(100000), age_words(400000), age_words(-5)
    ('now', '90 min', '28 h', '5 days', 'now')
    """
    if seconds < _MINUTE:
        return "now"
    if seconds < 2 * _HOUR:
        return f"{seconds / _MINUTE:.0f} min"
    if seconds < 2 * _DAY:
        return f"{seconds / _HOUR:.0f} h"
    return f"{seconds / _DAY:.0f} days"


def size_words(size: int) -> str:
    """The size of a file in bytes, as it is said.

    >>> size_words(900), size_words(43_000), size_words(2_460_000)
    ('900 bytes', '43 kB', '2.5 MB')
    """
    if size < 1000:
        return f"{size} bytes"
    return f"{size / 1000:.0f} kB" if size < 1_000_000 else f"{size / 1_000_000:.1f} MB"


def columns(text: str) -> int:
    """How many columns a text without control characters takes.

    >>> columns("Ω 油圧")
    6
    """
    if text.isascii():
        return len(text)
    from wcwidth import wcswidth

    return max(0, wcswidth(text))


def padded(text: str, width: int) -> str:
    """The text filled with spaces to so many columns."""
    return text + " " * (width - columns(text))


def clipped(text: str, width: int, more: str = "..") -> str:
    """The text in at most so many columns; one that is cut ends in `more`.

    >>> clipped("wheel loader 7", 10), clipped("油圧油圧", 6)
    ('wheel lo..', '油圧..')
    """
    if columns(text) <= width:
        return text
    kept = text[: max(width - columns(more), 0)]
    while kept and columns(kept + more) > width:
        kept = kept[:-1]
    return kept + more[:width]


def shortened(text: str, width: int) -> str:
    """The first words of a text in at most so many columns.

    >>> shortened("gets clearly darker, more than on any machine", 24)
    'gets clearly darker,...'
    """
    return text if columns(text) <= width else wrapped(text, width - 3)[0] + "..."


def fit(text: str, width: int) -> str:
    """The text in one line of exactly so many columns: cut with two dots, or filled with spaces.

    >>> fit("wheel loader 7", 10), fit("油圧", 6)
    ('wheel lo..', '油圧  ')
    """
    return padded(clipped(one_line(text), width), width)


def wrapped(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Lines of at most `width` columns, the first and the others with their own indent."""
    rest, width = " " * columns(first) if rest is None else rest, max(width, 1)
    wrap = textwrap.wrap
    if not text.isascii():
        from wcwidth import wrap
    lines = wrap(text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    return lines or [first.rstrip()]
