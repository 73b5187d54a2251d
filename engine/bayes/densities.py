"""What a meter reads, as a density over all readings: size matters, and there is no edge.

Readings are measured on the meter's own scale ``u``, on which the standard deviation of a
reading is 1 everywhere: ``du / dy = 1 / (absolute + relative * y)``. On it every range
``between low and high`` is a logistic density with nine readings in ten inside: its tails are
heavy enough that no cause jumps, and light enough that ten times the limit is proof.
Readings have no sign, so a density is folded at zero.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import product
from math import exp, expm1, hypot, log, log1p, pi, prod, sqrt, tanh
from typing import Any, Final, NamedTuple, Protocol

NINE_IN_TEN: Final = 2.0 * log(19.0)
"""Width of the range that holds nine in ten of a logistic density, in its scale parameters."""
OF_DEVIATION: Final = sqrt(3.0) / pi
"""Scale parameter of a logistic density whose standard deviation is 1."""

_FAR: Final = 40.0  # scale parameters from zero beyond which folding changes nothing

MAIN, NOTHING, WHOLE, SOUND = range(4)
"""What a part of a density stands for: a range, no reading at all, the whole battery, a sound circuit."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A meter's own scale.

    Attributes:
        absolute: standard deviation of a reading of nothing, in the measurement's unit; above 0.
        relative: what each unit of the reading adds to it.

    >>> volts = Scale(0.01, 0.02)
    >>> round(volts.value(volts.position(12.0)), 9)
    12.0
    """

    absolute: float
    relative: float

    def position(self, value: float) -> float:
        """Where a reading lies on the scale; 0 for nothing."""
        if value <= 0.0 or self.relative == 0.0:
            return value / self.absolute
        return log1p(self.relative * value / self.absolute) / self.relative

    def value(self, position: float) -> float:
        """The reading at a position, in the measurement's unit."""
        if position <= 0.0 or self.relative == 0.0:
            return position * self.absolute
        return self.absolute * expm1(min(self.relative * position, 700.0)) / self.relative

    def deviation(self, value: float) -> float:
        """Standard deviation of a reading of that size, in the unit."""
        return self.absolute + self.relative * max(value, 0.0)


class Component(NamedTuple):
    """One logistic component of a density: weight, middle, scale parameter, and what it stands for."""

    weight: float
    middle: float
    spread: float
    sort: int = MAIN

    def weighing(self, weight: float) -> Component:
        """The same with another weight."""
        return Component(weight, self.middle, self.spread, self.sort)


class ReadingDensity(Protocol):
    """Anything that says how likely each position on a meter's scale is."""

    def at(self, position: float, deviation: float = 1.0) -> float:
        """Density at a position, for a reading with that standard deviation."""

    def all_below(self, positions: Sequence[float]) -> list[float]:
        """Chance of a reading below each of several positions."""


@dataclass(frozen=True, slots=True)
class Density:
    """A mixture of logistic parts, folded at zero; their weights sum to 1."""

    parts: tuple[Component, ...]

    def at(self, position: float, deviation: float = 1.0) -> float:
        """Density at a position >= 0, for a reading with that standard deviation (of an ordinary one: 1)."""
        total = 0.0
        error = OF_DEVIATION * OF_DEVIATION * (deviation * deviation - 1.0)
        for weight, middle, spread, _ in self.parts:
            wide = sqrt(max(spread * spread + error, 0.01)) if error else spread
            one, other = exp(-abs(position - middle) / wide), exp(-abs(position + middle) / wide)
            folded = one / ((1.0 + one) * (1.0 + one)) + other / ((1.0 + other) * (1.0 + other))
            total += weight * folded / wide
        return total

    def below(self, position: float) -> float:
        """Chance of a reading below a position >= 0."""
        return self.all_below((position,))[0]

    def all_below(self, positions: Sequence[float]) -> list[float]:
        """The same for several positions."""
        total = [0.0] * len(positions)
        for weight, middle, spread, _ in self.parts:
            half, wide = 0.5 * weight, 0.5 / spread  # F(z) = (1 + tanh(z / 2)) / 2, folded at zero
            if middle > _FAR * spread:
                pairs = zip(total, positions, strict=True)
                total = [t + half + half * tanh(wide * (p - middle)) for t, p in pairs]
            else:
                total = [
                    t + half * (tanh(wide * (p - middle)) + tanh(wide * (p + middle)))
                    for t, p in zip(total, positions, strict=True)
                ]
        return total

    @property
    def middle(self) -> float:
        """Middle of the heaviest part."""
        return max(self.parts).middle


def logistic_between(low: float, high: float, sort: int = MAIN, weight: float = 1.0) -> Component:
    """The part with nine readings in ten between two positions; never narrower than a reading's error."""
    return Component(weight, (low + high) / 2.0, max((high - low) / NINE_IN_TEN, OF_DEVIATION), sort)


def nothing(weight: float = 1.0) -> Component:
    """The part that reads nothing but the meter's error."""
    return Component(weight, 0.0, 2.0 * OF_DEVIATION, NOTHING)


def mixture(weighted: Sequence[tuple[float, Density]]) -> Density:
    """Several densities by weight, equal parts put together; the weights are scaled to sum to 1."""
    whole = sum(weight for weight, _ in weighted)
    weights: dict[tuple[Any, ...], float] = {}
    for weight, one in weighted:
        for part in one.parts:
            weights[part[1:]] = weights.get(part[1:], 0.0) + part.weight * weight / whole
    return Density(tuple([Component(weight, *part) for part, weight in weights.items()]))


def summed_drops(scale: Scale, healthy: Density, rows: Sequence[Density]) -> Density:
    """Faults whose drops add along one path.

    Each row holds its fault together with the sound rest, so the rest is counted once. Where one
    of them leaves no current nothing is read; where one takes the whole battery that is read.
    """
    rest = scale.value(healthy.middle)

    def both(a: Component, b: Component) -> Component:
        decided = _decided(a, b, (NOTHING, WHOLE))
        if decided is not None:
            return decided
        one, other = scale.value(a.middle), scale.value(b.middle)
        value = max(one + other - rest, one, other)
        wide = hypot(a.spread * scale.deviation(one), b.spread * scale.deviation(other))
        spread = max(wide / scale.deviation(value), OF_DEVIATION)
        return Component(a.weight * b.weight, scale.position(value), spread)

    return reduce(lambda one, other: _paired(one, other, both), rows)


def shifted(healthy: Density, rows: Sequence[Density]) -> Density:
    """Faults that each move a reading from where a sound circuit has it: their moves add."""
    rest = max(healthy.parts)

    def both(a: Component, b: Component) -> Component:
        decided = _decided(a, b, (NOTHING,))
        if decided is not None:
            return decided
        own = max(a.spread * a.spread + b.spread * b.spread - rest.spread * rest.spread, 0.0)
        middle = max(a.middle + b.middle - rest.middle, 0.0)
        spread = max(sqrt(own), a.spread, b.spread)
        return Component(a.weight * b.weight, middle, spread, max(a.sort, b.sort))

    return reduce(lambda one, other: _paired(one, other, both), rows)


def _decided(a: Component, b: Component, deciding: Sequence[int]) -> Component | None:
    """The one of two parts that is read whatever the other is, where there is one."""
    for sort in deciding:
        if sort in (a.sort, b.sort):
            return (a if a.sort == sort else b).weighing(a.weight * b.weight)
    if SOUND in (a.sort, b.sort):
        return (b if a.sort == SOUND else a).weighing(a.weight * b.weight)
    return None


def _paired(one: Density, other: Density, both: Callable[[Component, Component], Component]) -> Density:
    return Density(tuple([both(a, b) for a, b in product(one.parts, other.parts)]))


@dataclass(frozen=True, slots=True)
class Extreme:
    """The largest (or smallest) of what several faults read."""

    rows: tuple[Density, ...]
    largest: bool

    def at(self, position: float, deviation: float = 1.0) -> float:
        """Density: one of them reads this, all others less (or more)."""
        below = [row.below(position) for row in self.rows]
        others = below if self.largest else [1.0 - reached for reached in below]
        own = [row.at(position, deviation) for row in self.rows]
        return sum(one * prod(others[:n] + others[n + 1 :]) for n, one in enumerate(own))

    def all_below(self, positions: Sequence[float]) -> list[float]:
        """Chance of a reading below each position."""
        columns = zip(*(row.all_below(positions) for row in self.rows), strict=True)
        if self.largest:
            return [prod(column) for column in columns]
        return [1.0 - prod([1.0 - reached for reached in column]) for column in columns]

