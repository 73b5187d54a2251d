"""Readings as a sheet tells them: value, limit in force, and whether it passes."""

from __future__ import annotations

from typing import Final

from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import band_of
from crankpath.engine.inference.ranges import against_limit
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Measurement

_TELLS_THE_COMPLAINT: Final = frozenset(("symptom", "history"))


def share(part: float) -> str:
    """A part of one in percent, exact where it is nothing.

    >>> share(0.0), share(0.0004), share(0.608)
    ('0 %', '0.04 %', '61 %')
    """
    number = 100 * part
    return f"{number:.0f} %" if number >= 10 or number == 0 else f"{number:.2g} %"


def mark_of(m: Measurement, value: float | str, facts: Facts) -> str:
    """pass, near, fail, or none for what cannot be judged (the complaint itself, no current, no limit)."""
    if _TELLS_THE_COMPLAINT.intersection(m.kinds):
        return "none"
    try:
        return against_limit(m, facts, band_of(m, value, facts))
    except CaseError:
        return "none"
