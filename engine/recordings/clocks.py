"""Times of a recording as seconds: plain numbers in a unit, a clock, or a date with a clock."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Final

from crankpath.engine.knowledge.problems import quoted

DAY: Final = 86400.0
UNITS: Final = {"s": 1.0, "ms": 1e-3, "us": 1e-6}
"""Units in which a time may stand as a plain number, in seconds."""

_SPELLINGS: Final = {
    "s": "s sec secs second seconds sek sekunden",
    "ms": "ms msec millis millisecond milliseconds millisekunden",
    "us": "us μs usec microsecond microseconds",
}
_BY_SPELLING: Final = {word: unit for unit, words in _SPELLINGS.items() for word in words.split()}
_CLOCK: Final = re.compile(
    r"(?:\S.*?[ T])?(\d{1,2}):(\d\d):(\d\d(?:[.,]\d+)?) ?([ap]m)?(?:Z|[+-]\d\d:?\d\d)?\Z", re.IGNORECASE
)
_DATED: Final = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d:\d\d")

Seconds = Callable[[Sequence[str]], list[float]]
"""Turns cells into seconds; ValueError if one is no time."""


def time_unit(word: str) -> str | None:
    """The unit of time that a word means, or None.

    >>> time_unit("sec"), time_unit("V")
    ('s', None)
    """
    return _BY_SPELLING.get(word.strip().lower().replace("\u00b5", "\u03bc"))


def is_clock(cell: str) -> bool:
    """Whether a cell is a time of day, with or without a date."""
    return _CLOCK.match(cell) is not None


def wraps(cell: str) -> bool:
    """Whether a time such as this begins again at midnight: a clock without a date that can be read."""
    return is_clock(cell) and not _DATED.match(cell)


def reader_for(cell: str, unit: str | None) -> Seconds:
    """What reads the cells of a time column that looks like this one; `unit` for plain numbers."""
    if _DATED.match(cell):
        return _dates
    if is_clock(cell):
        return _clocks
    factor = UNITS[unit or "s"]
    if factor == 1.0:
        return _numbers
    return lambda cells: [factor * float(each) for each in cells]


def _numbers(cells: Sequence[str]) -> list[float]:
    return list(map(float, cells))


def _dates(cells: Sequence[str]) -> list[float]:
    return [_since_1970(moment) for moment in map(datetime.fromisoformat, map(str.strip, cells))]


def _since_1970(moment: datetime) -> float:
    # without a zone it is not the zone of the machine this runs on, whose clock may be put on in summer
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()


def _clocks(cells: Sequence[str]) -> list[float]:
    return list(map(_of_day, cells))


def _of_day(cell: str) -> float:
    found = _CLOCK.match(cell.strip())
    if not found:
        raise ValueError(f"{quoted(cell)} is no time")
    hours, minutes, seconds, half = found.groups()
    hour = int(hours) if half is None else int(hours) % 12 + 12 * (half.lower() == "pm")
    return 3600.0 * hour + 60.0 * int(minutes) + float(seconds.replace(",", "."))
