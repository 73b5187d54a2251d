"""The readings that a crank of a recording gives, as they would have been typed."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from crankpath.engine.knowledge.records import Measurement
from crankpath.engine.recordings.columns import ReadColumn
from crankpath.engine.recordings.values import CrankValues, Measured

SPEED = "speed"


@dataclass(frozen=True, slots=True)
class CrankReading:
    """A reading with its error as text, as it goes into a case."""

    measurement: str
    text: str


def readings_of(
    values: CrankValues, columns: Sequence[ReadColumn], measurements: Mapping[str, Measurement]
) -> tuple[CrankReading, ...]:
    """Of each column the value that its measurement takes, and the speed; without what cannot be told."""
    found = []
    for column, read in zip(columns, values.columns, strict=True):
        m = measurements[column.measurement]
        value = read.named(m.takes) if m.takes else None
        if value is not None:
            found.append(CrankReading(m.id, value_with_error(value, m.unit or "")))
    if values.speed is not None:
        text = value_with_error(values.speed, "rpm")
        found += [CrankReading(m.id, text) for m in measurements.values() if m.takes == SPEED]
    return tuple(found)


def value_with_error(measured: Measured, unit: str) -> str:
    """A value with its error, to the digits that the error leaves sense in.

    >>> value_with_error(Measured(9.8432, 0.0312), "V"), value_with_error(Measured(412.7, 8.0), "A")
    ('9.84 ± 0.04 V', '413 ± 8 A')
    """
    if measured.error <= 0 or not math.isfinite(measured.error):
        return f"{measured.value:.3g} {unit}"
    digits = math.ceil(-math.log10(measured.error))
    digits = min(4, max(0, digits + (measured.error * 10**digits < 2)))
    size = 10.0**-digits
    error = math.ceil(measured.error / size - 1e-9) * size
    return f"{measured.value:.{digits}f} ± {error:.{digits}f} {unit}"


def has_failed(
    values: CrankValues, behaviours: Collection[str], moves_though: Collection[str]
) -> bool | None:
    """Whether the complaint showed in a crank, by whether the engine turned; None where that does not tell.

    Args:
        behaviours: what the machine does by the complaint, as observed.
        moves_though: the observations with which it moves all the same (`moves_though` of the base).
    """
    if values.turned is None or not set(moves_though).isdisjoint(behaviours) or not behaviours:
        return True if values.turned is False and behaviours else None
    return not values.turned
