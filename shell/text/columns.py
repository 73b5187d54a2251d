"""Texts fitted into columns of a terminal; pure functions."""

from __future__ import annotations

from crankpath.shell.text.clean import columns, one_line

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


def fit(text: str, width: int) -> str:
    """The text in one line of exactly so many columns: cut with two dots, or filled with spaces.

    >>> fit("wheel loader 7", 10), fit("油圧", 6)
    ('wheel lo..', '油圧  ')
    """
    line = one_line(text)
    if columns(line) > width:
        line = _cut(line, width - 2) + ".."[:width]
    return line + " " * (width - columns(line))


def _cut(line: str, width: int) -> str:
    taken = 0
    for at, letter in enumerate(line):
        taken += columns(letter)
        if taken > width:
            return line[:at]
    return line
