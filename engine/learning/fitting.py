"""From what was read to what an entry should say: ranges on the meter's scale, chances of values.

What is stated counts as so many cases, and each case as one (`crankpath.engine.learning.conjugate`). A
range has parts, and a reading may be a slip, so it is first worked out which part each reading belongs to, by
expectation and maximisation (Dempster, Laird & Rubin 1977; from memory). That begins with a range wide enough
for every reading, so that readings which all lie elsewhere are not taken for slips.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, log2
from typing import Final

from crankpath.engine.bayes.densities import OF_DEVIATION
from crankpath.engine.learning.conjugate import Chances, Normal
from crankpath.engine.learning.rule_samples import ObservationSample, ReadingSample

_ROUNDS: Final = 12
_REACH: Final = 1.645  # half of nine in ten of a normal distribution, in standard deviations


@dataclass(frozen=True, slots=True)
class FittedRange:
    """A range as it should be. Positions are -1 and 1 at the ends of the range as stated.

    Attributes:
        cases: that it rests on, slips left out.
        main: of the range itself.
        shares: of its parts, in the order of `heard.SORTS`.
        bits: by which a reading is foretold better than before, on average.
    """

    cases: float
    main: Normal
    shares: Chances
    bits: float


@dataclass(frozen=True, slots=True)
class FittedChances:
    """Chances of values as they should be; the rest as in `FittedRange`."""

    cases: float
    shares: Chances
    bits: float


def fit_range(points: Sequence[ReadingSample], stated: Sequence[float], worth: float) -> FittedRange:
    """What a range should say.

    Args:
        points: what was read, beside the range.
        stated: the shares of its parts as stated.
        worth: as many cases as what is stated is worth.
    """
    known, parts = Normal.of_range(-1.0, 1.0, worth), Chances.of(stated, worth)
    places = [point.at for point in points]
    main, shares = known.updated(places, [point.weight for point in points]), parts
    counts: list[float] = []
    for _ in range(_ROUNDS):
        means = shares.means
        belongs = [_belongs(point, main, means) for point in points]
        main = known.updated(places, [own[0] for own in belongs])
        counts = [sum(column) for column in zip(*belongs, strict=True)]
        shares = parts.updated(counts)
    return FittedRange(sum(counts), main, shares, _bits_of_range(main, shares.means, stated))


def _belongs(point: ReadingSample, main: Normal, shares: Sequence[float]) -> list[float]:
    """How much of a reading each part gets; what a slip gets is left out."""
    spread = main.scale * OF_DEVIATION
    apart = exp(-abs(point.at - main.mean) / spread)
    own = apart / ((1.0 + apart) ** 2 * spread)
    parts = [share * d for share, d in zip(shares, (own, *point.densities), strict=True)]
    whole = (1.0 - point.slip) * sum(parts) + point.slip * point.slipped
    return [point.weight * (1.0 - point.slip) * part / whole if whole > 0.0 else 0.0 for part in parts]


def _bits_of_range(main: Normal, shares: Sequence[float], stated: Sequence[float]) -> float:
    """Kullback & Leibler's divergence of the old from the new, the range taken as normal."""
    low, high = main.range
    middle, wide = (low + high) / 2.0, (high - low) / 2.0
    moved = (-log(wide) + (wide * wide + (middle * _REACH) ** 2 - 1.0) / 2.0) / log(2.0)
    return divergence(shares, stated) + shares[0] * moved


def fit_chances(seen: Sequence[ObservationSample], stated: Sequence[float], worth: float) -> FittedChances:
    """What the chances of an observation's values should be; arguments as in `fit_range`."""
    weights = [one.weight for one in seen]
    counts = [sum(w * s for w, s in zip(weights, column, strict=True))
              for column in zip(*(one.shares for one in seen), strict=True)]  # fmt: skip
    shares = Chances.of(stated, worth).updated(counts)
    return FittedChances(sum(weights), shares, divergence(shares.means, stated))


def divergence(chances: Sequence[float], stated: Sequence[float]) -> float:
    """``sum(p * log2(p / q))``: bits by which chances foretell better than those stated."""
    return sum(p * log2(p / q) for p, q in zip(chances, stated, strict=True) if p > 0.0 and q > 0.0)
