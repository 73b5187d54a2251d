"""Bands and limits of a reading as a person says them; pure functions."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import limits_in_force
from crankpath.engine.inference.ranges import NEAR, sound_band
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.reports.readings import amount


def band_words(m: Measurement, facts: Facts, band: str) -> str:
    """What a band means: its stretch in the unit, or an observation's value in words."""
    return bands_words(m, facts, (band,))


def bands_words(m: Measurement, facts: Facts, bands: Sequence[str]) -> str:
    """What some bands mean together; those of a meter reading are neighbours, the lowest first."""
    if len(bands) == len(m.bands):
        return "anything"
    said = " or ".join(m.band_labels.get(band, band.replace("_", " ")) for band in bands)
    if not m.numeric:
        return said
    try:
        limits = limits_in_force(m, facts)
    except CaseError:
        return said
    low, high, unit = m.bands.index(bands[0]), m.bands.index(bands[-1]), m.unit or ""
    if low == 0:
        return f"below {amount(limits[high], unit)}"
    if high == len(limits):
        return f"above {amount(limits[low - 1], unit)}"
    return f"{amount(limits[low - 1], unit)} to {amount(limits[high], unit)}"


def limit_words(m: Measurement, facts: Facts) -> str | None:
    """The limit of a reading in words: "at most 0.4 V"; None for what is not known or observed."""
    if not m.numeric:
        return f"good: {band_words(m, facts, sound_band(m, facts))}"
    try:
        limits = limits_in_force(m, facts)
        good = m.bands.index(sound_band(m, facts))
    except CaseError:
        return None
    near = m.bands.index(NEAR) if NEAR in m.bands else good
    low, high = min(good, near), max(good, near)
    unit = m.unit or ""
    worse_above = high < len(limits) and m.worsens != "down"
    worse_below = low > 0 and m.worsens != "up"
    if worse_above and worse_below:
        return f"{amount(limits[low - 1], unit)} to {amount(limits[high], unit)}"
    if worse_above:
        return f"at most {amount(limits[high], unit)}"
    return f"at least {amount(limits[low - 1], unit)}" if worse_below else None
