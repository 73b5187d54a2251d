"""Readings as a sheet tells them: value, limit in force, and whether it passes."""

from __future__ import annotations

import math
from typing import Final

from crankpath.engine.bands import band_of
from crankpath.engine.condition import Facts
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge import Measurement
from crankpath.shell.session.figures import amount, healthiest

_TELLS_THE_COMPLAINT: Final = frozenset(("symptom", "history"))


def share(part: float) -> str:
    """A part of one in percent, exact where it is nothing.

    >>> share(0.0), share(0.0004), share(0.608)
    ('0 %', '0.04 %', '61 %')
    """
    number = 100 * part
    return f"{number:.0f} %" if number >= 10 or number == 0 else f"{number:.2g} %"


def value_words(m: Measurement, value: float | str) -> str:
    """A value with its unit, or an observation in words."""
    if isinstance(value, str):
        return m.band_labels.get(value, value.replace("_", " "))
    if math.isinf(value):
        return "overload (open)"
    return amount(value, m.unit or "")


def mark_of(m: Measurement, value: float | str, facts: Facts) -> str:
    """pass, near, fail, or none for what cannot be judged (the complaint itself, no current, no limit)."""
    if _TELLS_THE_COMPLAINT.intersection(m.kinds):
        return "none"
    try:
        band, good = band_of(m, value, facts), healthiest(m, facts)
    except CaseError:
        return "none"
    if band == good:
        return "pass"
    if band == "near":
        return "near"
    if not m.numeric or m.push == "both":
        return "fail"
    if band == "none" and m.push == "up":
        return "none"  # no current, so the drop tells nothing of its path
    better = m.bands.index(band) > m.bands.index(good)
    return "pass" if better is (m.push == "down") else "fail"
