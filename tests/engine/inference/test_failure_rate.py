"""Failure rate and proof of a cure, against exact fractions and numeric integration."""

from __future__ import annotations

from fractions import Fraction
from math import prod

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.inference.entries import Tries
from crankpath.engine.inference.failure_rate import (
    all_good_though_not_fixed,
    crank_proof,
    failure_rate,
    good_cranks_needed,
    rate_proven,
)

whole = st.integers(1, 6)


@st.composite
def histories(draw: st.DrawFn) -> tuple[int, int]:
    of = draw(st.integers(0, 40))
    return draw(st.integers(0, of)), of


def by_fractions(cranks: int, failures: int, of: int, a: int, b: int) -> Fraction:
    """One crank after the other, each good one seen before the next is expected."""
    good = b + of - failures
    return prod((Fraction(good + k, a + b + of + k) for k in range(cranks)), start=Fraction(1))


@given(st.integers(0, 60), histories(), whole, whole)
def test_good_cranks_in_a_row_are_as_likely_as_one_after_the_other(
    cranks: int, history: tuple[int, int], a: int, b: int
) -> None:
    exact = by_fractions(cranks, *history, a, b)
    assert all_good_though_not_fixed(cranks, *history, a, b) == pytest.approx(float(exact), rel=1e-9)


@pytest.mark.parametrize(
    ("cranks", "failures", "of", "a", "b"),
    [(1, 0, 0, 1.0, 1.0), (5, 3, 10, 1.5, 2.5), (12, 1, 30, 2.0, 1.2), (40, 7, 9, 1.0, 1.0)],
)
def test_good_cranks_in_a_row_are_the_integral_over_the_failure_rate(
    cranks: int, failures: int, of: int, a: float, b: float
) -> None:
    nodes, weights = np.polynomial.legendre.leggauss(400)
    rate = (nodes + 1.0) / 2.0
    density = rate ** (a + failures - 1.0) * (1.0 - rate) ** (b + of - failures - 1.0)
    integral = float((weights * density * (1.0 - rate) ** cranks).sum() / (weights * density).sum())
    assert all_good_though_not_fixed(cranks, failures, of, a, b) == pytest.approx(integral, rel=1e-5)


@pytest.mark.parametrize("n", [1, 4, 19, 99])
def test_with_any_rate_alike_good_cranks_follow_the_rule_of_succession(n: int) -> None:
    """Laplace's rule, from memory: after no try at all, n good in a row have chance 1 / (n + 1)."""
    assert all_good_though_not_fixed(n, 0, 0, 1.0, 1.0) == pytest.approx(1.0 / (n + 1))
    assert failure_rate(0, n, 1.0, 1.0) == pytest.approx(1.0 / (n + 2))


@given(histories(), whole, whole)
def test_the_failure_rate_is_one_minus_the_chance_of_one_good_crank(
    history: tuple[int, int], a: int, b: int
) -> None:
    good = all_good_though_not_fixed(1, *history, a, b)
    assert failure_rate(*history, a, b) == pytest.approx(1.0 - good, abs=1e-9)


@given(histories(), whole, whole, st.sampled_from([0.2, 0.05, 0.01]))
def test_the_proof_is_the_least_number_that_suffices(
    history: tuple[int, int], a: int, b: int, level: float
) -> None:
    needed = good_cranks_needed(*history, a, b, level)
    assert by_fractions(needed, *history, a, b) < level + 1e-12
    assert by_fractions(needed - 1, *history, a, b) >= level - 1e-12


def test_the_more_often_it_failed_the_fewer_good_cranks_prove_a_cure() -> None:
    needed = [good_cranks_needed(failures, 10, 1.0, 1.0, 0.05) for failures in (1, 3, 5, 8, 10)]
    assert needed == sorted(needed, reverse=True)
    assert needed[0] > 2 * needed[1] > 4
    assert needed[-1] >= 1


def test_more_tries_at_the_same_rate_make_the_proof_shorter() -> None:
    """With few tries the rate may well be lower than seen, so more good cranks are asked for."""
    needed = [good_cranks_needed(tries // 2, tries, 1.0, 1.0, 0.05) for tries in (0, 2, 10, 100)]
    assert needed == sorted(needed, reverse=True)
    assert needed[0] == 20  # 1 / (n + 1) < 0.05
    assert needed[-1] == 5  # 0.5 ** 5 < 0.05


def test_a_proof_of_nearly_a_hundred_thousand_cranks_is_still_found() -> None:
    # 1 / (n + 1) < level from n = 80,000 on.
    assert good_cranks_needed(0, 0, 1.0, 1.0, 1.0 / 80_000.5) == 80_000


def test_failures_too_rare_to_prove_a_cure_are_said_so() -> None:
    with pytest.raises(ValueError, match="too rare"):
        good_cranks_needed(0, 0, 1.0, 1.0, 1e-6)


# Failure-free trials needed, n = ln(1 - C) / ln(1 - p): the success-run formula of reliability handbooks.
@pytest.mark.parametrize(
    ("level", "needed"),
    [(0.10, (4, 6, 11, 22, 45, 114)), (0.05, (5, 8, 14, 29, 59, 149)), (0.01, (7, 12, 21, 44, 90, 228))],
)
def test_with_a_rate_known_for_sure_the_published_numbers_of_trials_come_out(
    level: float, needed: tuple[int, ...]
) -> None:
    sure = 30_000_000
    for one_in, cranks in zip((2, 3, 5, 10, 20, 50), needed, strict=True):
        assert good_cranks_needed(sure // one_in, sure, 1.0, 1.0, level) == cranks


def test_the_rate_for_which_a_proof_holds_is_the_exact_bound_of_the_rule_of_three() -> None:
    # Jovanovic and Levy, The American Statistician 51, 1997, 137: no failure in n, p < 3 / n; exactly
    # 1 - 0.05 ** (1 / n), which is 0.26 at n = 10.
    assert rate_proven(10, 0.05) == pytest.approx(0.26, abs=0.005)
    assert rate_proven(1000, 0.05) == pytest.approx(3 / 1000, rel=0.01)


@given(st.lists(histories(), max_size=4))
def test_more_failures_met_later_never_shorten_the_proof(told: list[tuple[int, int]]) -> None:
    samples = [Tries(*history) for history in [(3, 10), *told]]
    first, all_of_them = crank_proof(samples[:1], 1.0, 1.0, 0.05), crank_proof(samples, 1.0, 1.0, 0.05)
    assert all_of_them.cranks >= first.cranks
    assert all_of_them.rate <= 0.3  # the low end of what was told


def test_without_any_try_the_proof_is_for_any_rate_alike() -> None:
    proof = crank_proof((), 1.0, 1.0, 0.05)
    assert (proof.cranks, proof.failures, proof.of) == (20, 0, 0)
