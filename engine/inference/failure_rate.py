"""Faults that come and go: the failure rate, and how many good cranks prove a cure.

The rate has a Beta(a, b) prior; failures in tries make it Beta(a + failures, b + good).
The chance that n cranks in a row are good although nothing was fixed is the Beta-binomial
``B(a', b' + n) / B(a', b')`` (Gelman et al., Bayesian Data Analysis, conjugate families).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, lgamma, log

from crankpath.engine.inference.entries import Tries

_ENDLESS = 100_000


@dataclass(frozen=True, slots=True)
class CrankProof:
    """How many good cranks in a row prove a repair.

    rate: it holds for a complaint that failed at least at this part of the tries.
    failures, of: the tries that the number rests on.
    """

    cranks: int
    rate: float
    failures: int
    of: int


def crank_proof(samples: Sequence[Tries], a: float, b: float, level: float) -> CrankProof:
    """The good cranks in a row after which *not fixed* is less likely than level.

    Args:
        samples: tries that tell how often the complaint shows, in order. Later ones may show that it
            fails more seldom than the first told; that it fails more often does not shorten the proof,
            for where failures are looked for, more of them are met. So the low end counts.
        a, b: the prior's parameters.

    Raises:
        ValueError: no number up to a hundred thousand does.
    """
    tallies = (tally(samples[:1]), tally(samples))
    needed = [(good_cranks_needed(*told, a, b, level), told) for told in tallies]
    cranks, (failures, of) = max(needed)
    return CrankProof(cranks, rate_proven(cranks, level), failures, of)


def rate_proven(cranks: int, level: float) -> float:
    """The failure rate at which so many good cranks in a row have just the chance level.

    ``1 - level ** (1 / n)``, the exact bound behind the rule of three (Jovanovic and Levy,
    The American Statistician 51, 1997, 137).

    >>> round(rate_proven(10, 0.05), 2)
    0.26
    """
    return 1.0 - exp(log(level) / cranks)


def tally(tries: Iterable[Tries]) -> tuple[int, int]:
    """(failures, tries) in all."""
    counted = [(entry.failures, entry.of) for entry in tries]
    return sum(failures for failures, _ in counted), sum(of for _, of in counted)


def failure_rate(failures: int, of: int, a: float, b: float) -> float:
    """Expected chance that the next try fails.

    Args:
        failures: tries that failed. of: all tries. a, b: the prior's parameters.
    """
    return (a + failures) / (a + b + of)


def all_good_though_not_fixed(cranks: int, failures: int, of: int, a: float, b: float) -> float:
    """Chance that so many cranks in a row are good although the fault is still there.

    >>> round(all_good_though_not_fixed(1, 0, 0, 1.0, 1.0), 6)
    0.5
    """
    first, second = a + failures, b + of - failures
    return exp(_log_beta(first, second + cranks) - _log_beta(first, second))


def good_cranks_needed(failures: int, of: int, a: float, b: float, level: float) -> int:
    """The least number of good cranks in a row that makes *not fixed* less likely than level.

    Raises:
        ValueError: no number up to a hundred thousand does.
    """
    low, high = 0, 1
    while all_good_though_not_fixed(high, failures, of, a, b) >= level:
        if high == _ENDLESS:
            raise ValueError("the failures seen are too rare for any number of good tries to prove a cure")
        low, high = high, min(high * 2, _ENDLESS)
    while high - low > 1:
        middle = (low + high) // 2
        if all_good_though_not_fixed(middle, failures, of, a, b) < level:
            high = middle
        else:
            low = middle
    return high


def _log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)
