"""When something promised is due, from the words of the promise; a pure function."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from types import MappingProxyType
from typing import Final

from crankpath.shell.store.order import local_time, utc

_CLOCK: Final = re.compile(
    r"\b(tomorrow\s+)?(?:at|by|until|till|before|around|about)\s+(\d{1,2})(?:[:.h](\d{2}))?\s*([ap]m)?\b(?![.,]\d)"
    r"(?!\s*(?:%|v|a|volts?|min|h|days?)\b)",
    re.IGNORECASE,
)
_DAY: Final = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")
_WORD: Final = re.compile(r"[^\W\d_]+")
_NONE: Final[Mapping[str, float]] = MappingProxyType({})
_SPAN: Final = re.compile(
    r"\b(?:in|within)\s+(?:(\d{1,3})|an?|half an?)\s*(min|h)(?:our|r|ute)?s?\b", re.IGNORECASE
)


def due_at(text: str, now: str, numbers: Mapping[str, float] = _NONE) -> str | None:
    """The time that a promise names, ISO 8601 in UTC; None if it names none.

    A day, year-month-day, is due from its beginning. A clock time is the next such time of the clock on the
    wall; one without am or pm may be either.
    `numbers`: words for numbers.

    >>> due_at("calls in 40 min", "2031-05-04T08:00:00Z")
    '2031-05-04T08:40:00+00:00'
    """
    here = utc(now).astimezone()
    day = _DAY.search(text)
    if day is not None:
        return _beginning(day[0])
    text = _WORD.sub(lambda m: f"{numbers.get(m[0].lower(), m[0])}".removesuffix(".0"), text)
    span = _SPAN.search(text)
    if span:
        count = float(span[1] or (0.5 if "half" in span[0].lower() else 1))
        minutes = count * (60 if span[2].lower() == "h" else 1)
        return utc((here + timedelta(minutes=minutes)).isoformat()).isoformat(timespec="seconds")
    clock = _CLOCK.search(text)
    if clock is None or int(clock[2]) > 23 or int(clock[3] or 0) > 59:
        return None
    times = [time(hour, int(clock[3] or 0)) for hour in _hours(int(clock[2]), clock[3], clock[4])]
    first = here.date() + timedelta(days=1 if clock[1] else 0)
    # a day has its own distance from UTC: clocks are put forward and back
    named = [datetime.combine(first + timedelta(days=d), t).astimezone() for d in (0, 1) for t in times]
    return utc(min(at for at in named if at > here).isoformat()).isoformat(timespec="seconds")


def due_words(text: str, due: str, now: str) -> str:
    """A promise after the time at which it is due, which is then not said again; OVERDUE once that is past.

    A day that is named is over at its end.
    """
    named = _DAY.search(text)
    whole_day = named is not None and _beginning(named[0]) == utc(due).isoformat(timespec="seconds")
    when = named[0] if named and whole_day else local_time(due, now)
    over = utc(now) - timedelta(days=1) if whole_day else utc(now)
    said = _DAY.sub("", text, 1) if whole_day else _SPAN.sub("", text, 1)
    left = " ".join((said if said != text else _CLOCK.sub("", text, 1)).split()).strip(" ,;:.-")
    return " ".join(filter(None, ("OVERDUE" if utc(due) < over else "", when, left)))


def _hours(hour: int, minutes: str | None, half: str | None) -> tuple[int, ...]:
    if half:
        return (hour % 12 + (12 if half.lower() == "pm" else 0),)
    return (hour,) if minutes or hour > 12 or hour == 0 else (hour % 12, hour % 12 + 12)


def _beginning(day: str) -> str | None:
    """The beginning of a day on the clock on the wall; None for one that no calendar has."""
    try:
        begins = datetime.combine(date.fromisoformat(day), time()).astimezone()
    except (ValueError, OverflowError):
        return None
    return utc(begins.isoformat()).isoformat(timespec="seconds")
