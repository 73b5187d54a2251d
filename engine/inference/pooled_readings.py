"""Repeats of one reading under the same conditions, taken together: one piece of evidence, not many."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Any

from crankpath.engine.inference.bands import band_shares
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Measurement


@dataclass(frozen=True, eq=False)
class PooledReading:
    """All repeats of one reading under the same conditions: one piece of evidence.

    stretch: how many repairs came before it. value: mean of the repeats of the worst cable,
    or the value observed most often.
    """

    measurement: Measurement
    repair_epoch: int
    symptom: bool
    value: float | str
    readings: tuple[Reading, ...]


def pool_repeats(readings: Sequence[Reading]) -> float | str:
    """One value for repeats: the mean, of the worst cable; of observations the commonest."""
    seen = Counter(reading.value for reading in readings if isinstance(reading.value, str))
    if seen:
        return min(seen, key=lambda value: (-seen[value], value))
    cables: dict[int, list[float]] = {}
    for reading in readings:
        if isinstance(reading.value, (int, float)):
            cables.setdefault(reading.cable, []).append(float(reading.value))
    return max(fmean(sorted(values)) for values in cables.values())


def shares_of(taken: PooledReading, facts: Facts) -> tuple[float, ...]:
    """Weight of each band, summing to 1: soft near a limit, shared out where observations differ."""
    if isinstance(taken.value, str):
        rows = [_one_hot(taken.measurement, reading.value) for reading in taken.readings]
        return tuple(fmean(column) for column in zip(*rows, strict=True))
    cables: dict[int, int] = {}
    for reading in taken.readings:
        cables[reading.cable] = cables.get(reading.cable, 0) + 1
    return band_shares(taken.measurement, taken.value, facts, repeats=min(cables.values()))


def _one_hot(measurement: Measurement, value: Any) -> tuple[float, ...]:
    return tuple(float(band == value) for band in measurement.bands)
