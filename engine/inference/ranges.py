"""From a range as the knowledge base writes it to a density on the meter's own scale."""

from __future__ import annotations

from math import isfinite
from typing import Final

from crankpath.engine.bayes.densities import (
    SOUND,
    WHOLE,
    Component,
    Density,
    Scale,
    logistic_between,
    nothing,
)
from crankpath.engine.inference.bands import band_of, healthy_in_force
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import Measurement, Quantity, Range

NEAR: Final = "near"
"""The band that is still within the limit, but close to it."""

_FINEST: Final = 1e-6  # of the largest reading: a meter that states no error


def scale_of(measurement: Measurement) -> Scale:
    """The measurement's own scale: how far apart two readings must be to differ."""
    least = measurement.error.absolute or _FINEST * _plain(measurement.most, 1.0)
    return Scale(least, measurement.error.relative)


def _plain(quantity: Quantity | None, instead: float) -> float:
    return quantity if isinstance(quantity, float) else instead


def number(quantity: Quantity | None, facts: Facts) -> float | None:
    """What a quantity comes to under these facts, in its unit; None where a fact is unknown."""
    found = quantity.value(facts.values) if isinstance(quantity, Formula) else quantity
    return found if found is not None and isfinite(found) else None


def ends(reads: Range, measurement: Measurement, facts: Facts) -> tuple[float, float] | None:
    """The two ends of a range in the measurement's unit, rising; None where a fact is unknown."""
    scale = number(measurement.scale, facts)
    found = []
    for quantity in (reads.low, reads.high):
        value = number(quantity, facts)
        if value is None or scale is None:
            return None
        found.append(max(value if isinstance(quantity, Formula) else value * scale, 0.0))
    return min(found), max(found)


def density(
    reads: Range, measurement: Measurement, facts: Facts, sound: Density | None = None
) -> Density | None:
    """The density that a range stands for; None where a fact that it needs is unknown.

    Args:
        reads: the range.
        measurement: of which reading.
        facts: in force.
        sound: what a sound circuit reads, for the share that reads so.
    """
    scale = scale_of(measurement)
    rest = 1.0 - reads.nothing - reads.whole - (reads.sound if sound is not None else 0.0)
    parts: list[Component] = []
    if rest > 0.0 and reads.low is not None:
        at = ends(reads, measurement, facts)
        if at is None:
            return None
        parts.append(logistic_between(scale.position(at[0]), scale.position(at[1]), weight=rest))
    if reads.nothing > 0.0:
        parts.append(nothing(reads.nothing))
    if reads.whole > 0.0:
        whole = whole_battery(measurement, facts)
        if whole is None:
            return None
        parts.append(logistic_between(scale.position(whole[0]), scale.position(whole[1]), WHOLE, reads.whole))
    if reads.sound > 0.0 and sound is not None:
        parts += [Component(w * reads.sound, middle, spread, SOUND) for w, middle, spread, _ in sound.parts]
    total = sum(part.weight for part in parts)
    return Density(tuple(part.weighing(part.weight / total) for part in parts)) if parts else None


def whole_battery(measurement: Measurement, facts: Facts) -> tuple[float, float] | None:
    """Between what two readings the whole battery shows here, in the unit; None where nothing says so."""
    for one in measurement.whole:
        if one.given is None or one.given.holds(facts) is True:
            at = ends(one.reads, measurement, facts)
            if at is not None:
                return at
    return None


def sound_band(measurement: Measurement, facts: Facts) -> str:
    """The band that a sound circuit shows: the likeliest value, or the band of the middle of its range."""
    reads = healthy_in_force(measurement, facts).reads
    if not isinstance(reads, Range):
        return measurement.bands[max(range(len(reads)), key=reads.__getitem__)]
    if reads.nothing > 0.5:
        return band_of(measurement, 0.0, facts)
    at = ends(reads, measurement, facts) or whole_battery(measurement, facts) or (0.0, 0.0)
    return band_of(measurement, (at[0] + at[1]) / 2.0, facts)


def against_limit(m: Measurement, facts: Facts, band: str) -> str:
    """How a reading in this band stands against its limit: pass, near, fail or none.

    none: nothing was lost, as without current, so a drop tells nothing of its path.
    """
    good = sound_band(m, facts)
    if band == good:
        return "pass"
    if band == NEAR:
        return "near"
    at, of_good = m.bands.index(band), m.bands.index(good)
    if NEAR in m.bands and (m.bands.index(NEAR) < at) is (at < of_good):
        return "pass"  # between near and good
    if not m.numeric or m.worsens == "both":
        return "fail"
    if band == "none" and m.worsens == "up":
        return "none"
    return "pass" if (at > of_good) is (m.worsens == "down") else "fail"
