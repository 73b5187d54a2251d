"""Conjugate updates: what is known before, worth so many observations, and what was observed.

A normal quantity with unknown mean and variance has a normal-scaled-inverse-chi-squared prior (the
normal-inverse-gamma in other letters), chances have a Dirichlet one: Gelman et al., Bayesian Data Analysis,
third edition, sections 3.3 and 3.4 (from memory). An observation may count as a part of one, its weight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, lgamma, log, log1p, sqrt
from typing import Final

_STEPS: Final = 60  # halvings of an interval: as fine as a float
_TERMS: Final = 200  # of the continued fraction
_TINY: Final = 1e-300
_SURE: Final = 0.95  # the upper end of nine in ten


@dataclass(frozen=True, slots=True)
class Normal:
    """What is known of a normal quantity: its mean, its scale, and how many observations that is worth.

    Attributes:
        mean: expected mean.
        scale: of the quantity itself; the square root of the expected variance, nearly.
        worth: observations, above 0; both kappa and nu of the reference.
    """

    mean: float
    scale: float
    worth: float

    @classmethod
    def of_range(cls, low: float, high: float, worth: float) -> Normal:
        """The one of which nine in ten of further observations lie between low and high."""
        return cls((low + high) / 2.0, (high - low) / 2.0 / _reach(worth), worth)

    def updated(self, values: Sequence[float], weights: Sequence[float]) -> Normal:
        """What is known after some observations; their weights are at least 0."""
        seen = sum(weights)
        if seen <= 0.0:
            return self
        pairs = list(zip(values, weights, strict=True))
        mean = sum(w * v for v, w in pairs) / seen
        apart = sum(w * (v - mean) ** 2 for v, w in pairs)
        whole = self.worth + seen
        between = self.worth * seen / whole * (mean - self.mean) ** 2
        scale = sqrt((self.worth * self.scale**2 + apart + between) / whole)
        return Normal((self.worth * self.mean + seen * mean) / whole, scale, whole)

    @property
    def range(self) -> tuple[float, float]:
        """Between what nine in ten of further observations lie."""
        half = self.scale * _reach(self.worth)
        return self.mean - half, self.mean + half

    @property
    def middle(self) -> tuple[float, float]:
        """Between what the mean itself lies, nine chances in ten."""
        half = self.scale / sqrt(self.worth) * student_quantile(_SURE, self.worth)
        return self.mean - half, self.mean + half


def _reach(worth: float) -> float:
    """Half the width of nine in ten of further observations, in scales."""
    return student_quantile(_SURE, worth) * sqrt(1.0 + 1.0 / worth)


@dataclass(frozen=True, slots=True)
class Chances:
    """What is known of some chances that sum to 1: a Dirichlet distribution.

    counts: of each outcome, what was known before included.
    """

    counts: tuple[float, ...]

    @classmethod
    def of(cls, chances: Sequence[float], worth: float) -> Chances:
        """The one with those means that is worth so many observations."""
        return cls(tuple(worth * chance for chance in chances))

    def updated(self, counts: Sequence[float]) -> Chances:
        """What is known after every outcome was seen so many times."""
        return Chances(tuple(a + b for a, b in zip(self.counts, counts, strict=True)))

    @property
    def means(self) -> tuple[float, ...]:
        """The chances expected."""
        whole = sum(self.counts)
        return tuple(count / whole for count in self.counts)

    def interval(self, outcome: int) -> tuple[float, float]:
        """Between what the chance of an outcome lies, nine chances in ten."""
        own, whole = self.counts[outcome], sum(self.counts)
        if own <= 0.0 or own >= whole:
            return own / whole, own / whole
        low, high = (beta_quantile(share, own, whole - own) for share in (1.0 - _SURE, _SURE))
        return low, high


def student_quantile(share: float, freedom: float) -> float:
    """The value below which a share, above one half, of Student's t with that many degrees of freedom lies.

    Raises:
        ValueError: the share is not above one half and below 1.

    >>> round(student_quantile(0.95, 10), 3)
    1.812
    """
    if not 0.5 < share < 1.0:
        raise ValueError(f"a share between one half and 1 is needed, not {share}")
    inner = beta_quantile(2.0 * (1.0 - share), freedom / 2.0, 0.5)
    return sqrt(freedom * (1.0 - inner) / inner)


def beta_quantile(share: float, a: float, b: float) -> float:
    """The value below which a share of a Beta(a, b) distribution lies, by halving."""
    low, high = 0.0, 1.0
    for _ in range(_STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if beta_below(middle, a, b) < share else (low, middle)
    return (low + high) / 2.0


def beta_below(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function, by its continued fraction (NIST DLMF 8.17.22; from memory).

    >>> round(beta_below(0.5, 2.0, 3.0), 4)
    0.6875
    """
    if x <= 0.0 or x >= 1.0:
        return float(x >= 1.0)
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - beta_below(1.0 - x, b, a)
    front = exp(a * log(x) + b * log1p(-x) + lgamma(a + b) - lgamma(a) - lgamma(b)) / a
    upper, lower, value = 1.0, 0.0, 1.0
    for term in range(_TERMS):
        half = term // 2
        if term == 0:
            part = 1.0
        elif term % 2 == 0:
            part = half * (b - half) * x / ((a + term - 1.0) * (a + term))
        else:
            part = -(a + half) * (a + b + half) * x / ((a + term - 1.0) * (a + term))
        lower = 1.0 / ((1.0 + part * lower) or _TINY)
        upper = (1.0 + part / upper) or _TINY
        value *= upper * lower
        if term and abs(upper * lower - 1.0) < 1e-14:
            break
    return front * (value - 1.0)
