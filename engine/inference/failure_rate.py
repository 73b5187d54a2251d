"""Faults that come and go: the failure rate, and how many good cranks prove a cure.

The rate has a Beta(a, b) prior; failures in tries make it Beta(a + failures, b + good).
The chance that n cranks in a row are good although nothing was fixed is the Beta-binomial
``B(a', b' + n) / B(a', b')`` (Gelman et al., Bayesian Data Analysis, conjugate families).
"""

from __future__ import annotations

from math import exp, lgamma

_ENDLESS = 100_000


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
            raise ValueError("the failures seen are too rare for any number of good cranks to prove a cure")
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
