"""Conjugate updates, held against published figures and sums over a grid."""

from __future__ import annotations

from math import exp, gamma, log, pi, sqrt

import pytest

from crankpath.engine.learning.conjugate import Chances, Normal, beta_below, student_quantile


@pytest.mark.parametrize(
    ("freedom", "published"), [(1, 6.314), (2, 2.920), (5, 2.015), (10, 1.812), (30, 1.697), (120, 1.658)]
)
def test_quantiles_of_students_t_are_the_published_ones(freedom: int, published: float) -> None:
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, upper 5 % (from memory)
    assert student_quantile(0.95, freedom) == pytest.approx(published, abs=5e-4)


def test_a_share_that_is_no_upper_one_is_refused() -> None:
    with pytest.raises(ValueError, match="one half"):
        student_quantile(0.5, 3)


def test_the_beta_distribution_is_the_binomial_sum() -> None:
    # P(Beta(3, 4) < 0.3) = P(at least 3 of 6 with 0.3 each)
    chances = [20 * 0.3**3 * 0.7**3, 15 * 0.3**4 * 0.7**2, 6 * 0.3**5 * 0.7, 0.3**6]
    assert beta_below(0.3, 3, 4) == pytest.approx(sum(chances))


def test_nothing_read_leaves_a_range_as_it_was() -> None:
    assert Normal.of_range(1.0, 3.0, 7.0).range == pytest.approx((1.0, 3.0))
    assert Normal.of_range(1.0, 3.0, 7.0).updated([], []).range == pytest.approx((1.0, 3.0))


def test_the_update_is_that_of_bayes_worked_out_on_a_grid() -> None:
    before, values = Normal(0.0, 1.0, 4.0), [1.0, 1.6, 0.7, 2.1]
    steps = [-3 + n * 0.02 for n in range(401)], [0.1 + n * 0.02 for n in range(300)]
    weights = {}
    for mean in steps[0]:
        for deviation in steps[1]:
            variance = deviation * deviation
            # scaled inverse chi-squared of the variance, normal of the mean given it
            log_prior = -3.0 * log(variance) - 2.0 / variance - 0.5 * log(variance) - 2.0 * mean**2 / variance
            seen = sum(-0.5 * (v - mean) ** 2 / variance - 0.5 * log(variance) for v in values)
            weights[mean, deviation] = exp(log_prior + seen) * 2 * deviation
    whole = sum(weights.values())
    after = before.updated(values, [1.0] * len(values))
    assert sum(m * w for (m, _), w in weights.items()) / whole == pytest.approx(after.mean, abs=0.01)
    low, high = after.middle
    inside = sum(w for (m, _), w in weights.items() if low <= m <= high) / whole
    assert inside == pytest.approx(0.9, abs=0.02)


def test_a_weight_counts_as_so_much_of_a_reading() -> None:
    before = Normal.of_range(0.0, 2.0, 5.0)
    assert before.updated([4.0, 4.0], [0.5, 0.5]) == before.updated([4.0], [1.0])


def test_nine_in_ten_of_what_comes_lie_inside_by_the_t_distribution() -> None:
    after = Normal(0.0, 1.0, 6.0)
    low, high = after.range
    wide, freedom = sqrt(1.0 + 1.0 / 6.0), 6.0
    front = gamma(3.5) / (gamma(3.0) * sqrt(freedom * pi)) / wide
    steps = [low + (high - low) * (n + 0.5) / 2000 for n in range(2000)]
    inside = sum(front * (1 + (x / wide) ** 2 / freedom) ** -3.5 for x in steps) * (high - low) / 2000
    assert inside == pytest.approx(0.9, abs=1e-4)


def test_chances_are_counts_put_to_what_was_stated() -> None:
    after = Chances.of((0.5, 0.3, 0.2), 10).updated((0, 5, 5))
    assert after.means == pytest.approx((5 / 20, 8 / 20, 7 / 20))
    low, high = after.interval(1)
    assert low < 0.4 < high
    assert beta_below(high, 8, 12) - beta_below(low, 8, 12) == pytest.approx(0.9)
