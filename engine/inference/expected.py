"""What a reading is expected to be, in its own unit: a density as people say it."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, log2
from typing import Final

from crankpath.engine.bayes.densities import (
    MAIN,
    NINE_IN_TEN,
    NOTHING,
    SOUND,
    WHOLE,
    Density,
    ReadingDensity,
    Scale,
    mixture,
)
from crankpath.engine.bayes.tables import MeterTable

LOW: Final = 0.05
HIGH: Final = 0.95
_STEPS: Final = 32  # halvings; far finer than any meter
_SHARES: Final = tuple((number + 0.5) / 20 for number in range(20))


@dataclass(frozen=True, slots=True)
class Expected:
    """Nine readings in ten lie between low and high, unless something else happens.

    Attributes:
        low: 5 % of the readings that are neither nothing nor the whole battery lie below it, in the
            measurement's unit. middle, high: the same for 50 and 95 %. All three None where every
            reading is nothing or the whole battery.
        nothing: share of readings that show nothing.
        whole: share that show the whole battery (an open circuit, in ohms).
        sound: share that read as on a sound circuit; then the three are of what is left, or of the
            sound circuit where nothing is left.
    """

    low: float | None
    middle: float | None
    high: float | None
    nothing: float = 0.0
    whole: float = 0.0
    sound: float = 0.0


def fits(reads: Density, position: float) -> bool:
    """True if a reading lies where nine in ten of some part lie; parts below 1 in 20 do not count."""
    parts = (part for part in reads.parts if part.weight >= LOW)
    return any(abs(position - middle) <= NINE_IN_TEN / 2.0 * spread for _, middle, spread, _ in parts)


def mean_surprise(reads: Density, slip: float, slipped: float) -> float:
    """Expected ``-log2`` of a reading's own density, per standard deviation of such a reading, in bits.

    Args:
        reads: where the reading comes from.
        slip: chance that it comes from elsewhere, with the density slipped.
    """
    total = 0.0
    for weight, middle, spread, _ in reads.parts:
        for share in _SHARES:
            at = abs(middle + spread * log(share / (1.0 - share)))
            total -= weight / len(_SHARES) * log2((1.0 - slip) * reads.at(at) + slip * slipped)
    return total


def quantile(reads: ReadingDensity, share: float, scale: Scale) -> float:
    """The reading below which a share of all readings lies, in the measurement's unit."""
    low, high = 0.0, 1.0
    while reads.all_below((high,))[0] < share and high < 1e6:
        high *= 2.0
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if reads.all_below((middle,))[0] < share else (low, middle)
    return scale.value(high)


def expected(reads: ReadingDensity, scale: Scale) -> Expected:
    """A density in the measurement's unit."""
    if not isinstance(reads, Density):
        return Expected(*_ends(reads, scale))
    whole = sum(part.weight for part in reads.parts) or 1.0
    shares = [sum(p.weight for p in reads.parts if p.sort == sort) / whole for sort in range(4)]
    told = next((sort for sort in (MAIN, SOUND) if shares[sort] > 0.0), None)
    if told is None:
        return Expected(None, None, None, shares[NOTHING], shares[WHOLE])
    of = mixture(
        [(part.weight, Density((part._replace(weight=1.0),))) for part in reads.parts if part.sort == told]
    )
    return Expected(*_ends(of, scale), shares[NOTHING], shares[WHOLE], shares[SOUND])


def _ends(reads: ReadingDensity, scale: Scale) -> tuple[float, float, float]:
    """5, 50 and 95 %."""
    return quantile(reads, LOW, scale), quantile(reads, 0.5, scale), quantile(reads, HIGH, scale)


def expected_of(table: MeterTable, elements: dict[int, float]) -> Expected:
    """What one of several elements makes of a reading.

    Args:
        table: of the reading.
        elements: element -> its weight; one that has no effect here reads as a sound circuit.
    """
    sound = table.healthy
    assert isinstance(sound, Density)
    as_sound = Density(tuple(part._replace(sort=SOUND) for part in sound.parts))
    rows = []
    for index, weight in elements.items():
        row = table.row_of((index,)) if index in table.effects else as_sound
        assert isinstance(row, Density)
        rows.append((weight, row))
    return expected(rows[0][1] if len(rows) == 1 else mixture(rows), table.scale)
