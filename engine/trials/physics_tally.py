"""What was read on drawn machines, counted beside what a rule expects there."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import log2
from random import Random
from typing import Final

from crankpath.engine.bayes.densities import MAIN, NINE_IN_TEN, Component, Density, Scale
from crankpath.engine.inference.expected import HIGH, LOW, Expected, expected

_LEAST_SEEN: Final = 1e-3
_LEAST_EXPECTED: Final = 0.005  # a slip shows anything
_EDGES: Final = (0.001, 0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99, 0.999)
_SORTS: Final = 4
_CLEAR: Final = 2.0  # half-widths of nine in ten beyond which a reading is none of a part's


def bits(seen: Sequence[float], chances: Sequence[float]) -> float:
    """Expected surprise beyond the unavoidable, ``sum(seen * log2(seen / chance))``, not below 0."""
    pairs = zip(seen, chances, strict=True)
    return max(sum(s * log2(s / max(c, 1e-12)) for s, c in pairs if s > _LEAST_SEEN), 0.0)


@dataclass
class ValueTally:
    """An observation: how often each value was seen, and the chances it was given."""

    values: tuple[str, ...]
    count: int = 0
    _seen: list[float] = field(default_factory=list)
    _expected: list[float] = field(default_factory=list)

    def add(self, row: Sequence[float], value: str) -> None:
        """One machine."""
        seen = [float(value == one) for one in self.values]
        self._seen = [a + b for a, b in zip(self._seen or [0.0] * len(seen), seen, strict=True)]
        self._expected = [a + b for a, b in zip(self._expected or [0.0] * len(row), row, strict=True)]
        self.count += 1

    def seen(self) -> tuple[float, ...]:
        """Share of each value."""
        return tuple(value / self.count for value in self._seen)

    def expected(self) -> tuple[float, ...]:
        """Mean chance of each value."""
        return tuple(value / self.count for value in self._expected)

    def bits(self) -> float:
        """How much a reading misleads on average."""
        return bits(self.seen(), self.expected())


@dataclass
class MeterTally:
    """A meter reading: what was read, of which sort it was, and where in the rule's range it lay.

    If the rule is right, the shares of its range below the readings are spread evenly from 0 to 1
    (the probability integral transform); how far they are not is counted in bits.
    """

    count: int = 0
    _values: list[list[float]] = field(default_factory=lambda: [[] for _ in range(_SORTS)])
    _shares: list[float] = field(default_factory=lambda: [0.0] * _SORTS)
    _below: list[float] = field(default_factory=list)
    _rows: list[tuple[Density, Scale]] = field(default_factory=list)

    def add(self, row: Density, scale: Scale, value: float, rng: Random) -> None:
        """One machine; below a meter's error a reading lies anywhere, which `rng` draws."""
        position = scale.position(value)
        if position < 1.0:
            position = rng.random()
        sort = _sort(row, position)
        self._values[sort].append(value)
        for part in row.parts:
            self._shares[part.sort] += part.weight
        if sort == MAIN:
            self._below.append(_share_below(row, position))
        self._rows.append((row, scale))
        self.count += 1

    def read(self) -> Expected:
        """5, 50 and 95 % of what was read, and how often the rest."""
        _, nothing, whole, sound = (len(values) / self.count for values in self._values)
        inside = sorted(self._values[MAIN])
        if not inside:
            return Expected(None, None, None, nothing, whole, sound)
        low, middle, high = (_quantile(inside, share) for share in (LOW, 0.5, HIGH))
        return Expected(low, middle, high, nothing, whole, sound)

    def expected(self) -> Expected:
        """What the rule expects on the middling machine of those drawn."""
        rows = sorted(self._rows, key=lambda pair: pair[1].value(pair[0].middle))
        return expected(*rows[len(rows) // 2])

    def bits(self) -> float:
        """How much a reading misleads on average."""
        seen = [len(values) / self.count for values in self._values]
        given = [max(share / self.count, _LEAST_EXPECTED) for share in self._shares]
        between = bits(seen, [share / sum(given) for share in given])
        if not self._below:
            return between
        counts = [0] * (len(_EDGES) + 1)
        for share in self._below:
            counts[bisect_left(_EDGES, share)] += 1
        widths = [high - low for low, high in zip((0.0, *_EDGES), (*_EDGES, 1.0), strict=True)]
        return between + seen[MAIN] * bits([count / len(self._below) for count in counts], widths)


def _sort(row: Density, position: float) -> int:
    """What a reading is: the part of the rule that it most likely comes from, if it is near any."""

    def density(part: Component) -> float:
        return part.weight * Density((part._replace(weight=1.0),)).at(position)

    best = max(row.parts, key=density)
    near = abs(position - best.middle) <= _CLEAR * NINE_IN_TEN / 2.0 * best.spread
    return best.sort if near else MAIN


def _share_below(row: Density, position: float) -> float:
    """Share of the range itself below a reading; of a rule without one, none."""
    whole = sum(part.weight for part in row.parts if part.sort == MAIN)
    if whole <= 0.0:
        return 0.0
    parts = tuple(part._replace(weight=part.weight / whole) for part in row.parts if part.sort == MAIN)
    return Density(parts).below(position)


def _quantile(values: Sequence[float], share: float) -> float:
    """Of sorted values, by linear interpolation."""
    place = share * (len(values) - 1)
    low = int(place)
    high = min(low + 1, len(values) - 1)
    if values[low] == values[high]:
        return values[low]  # both may be over the meter's range
    return values[low] + (place - low) * (values[high] - values[low])
