"""What was read on drawn machines, counted beside what a rule expects."""

from __future__ import annotations

from math import log
from random import Random

import pytest

from crankpath.engine.bayes.densities import WHOLE, Component, Density, Scale, logistic_between, nothing
from crankpath.engine.trials.physics_tally import MeterTally, ValueTally, bits

VOLTS = Scale(0.01, 0.02)


def volts(low: float, high: float, sort: int = 0, weight: float = 1.0) -> Component:
    return logistic_between(VOLTS.position(low), VOLTS.position(high), sort, weight)


def tally_of(row: Density, values: list[float]) -> MeterTally:
    tally = MeterTally()
    for value in values:
        tally.add(row, VOLTS, value, Random(1))
    return tally


def test_quantiles_of_what_was_read_are_by_linear_interpolation() -> None:
    row = Density((volts(0.5, 2.0),))
    found = tally_of(row, [0.1 * number for number in range(5, 16)]).read()
    assert (found.low, found.middle, found.high) == tuple(pytest.approx(v) for v in (0.55, 1.0, 1.45))


def test_readings_of_nothing_and_of_the_whole_battery_are_counted_apart() -> None:
    row = Density((volts(0.5, 2.0, weight=0.6), nothing(0.2), volts(11.0, 12.0, WHOLE, 0.2)))
    found = tally_of(row, [0.0, 1.0, 1.1, 11.4]).read()
    assert (found.nothing, found.whole) == (0.25, 0.25)
    assert found.high == pytest.approx(1.095)


def test_a_rule_that_says_what_is_read_misleads_little_and_one_far_off_much() -> None:
    row = Density((volts(0.5, 2.0),))
    rng = Random(2)
    middle, spread = row.parts[0].middle, row.parts[0].spread
    drawn = []
    for _ in range(400):
        share = rng.uniform(0.001, 0.999)
        drawn.append(VOLTS.value(middle + spread * _logit(share)))
    assert tally_of(row, drawn).bits() < 0.1
    assert tally_of(row, [value * 4.0 for value in drawn]).bits() > 2.0


def _logit(share: float) -> float:
    return log(share / (1.0 - share))


def test_values_are_shares_seen_beside_mean_chances() -> None:
    tally = ValueTally(("good", "open"))
    tally.add((0.9, 0.1), "good")
    tally.add((0.7, 0.3), "open")
    assert tally.seen() == (0.5, 0.5)
    assert tally.expected() == pytest.approx((0.8, 0.2))
    assert tally.bits() == pytest.approx(bits((0.5, 0.5), (0.8, 0.2)))


def test_bits_are_the_divergence_of_what_was_seen() -> None:
    # Kullback-Leibler divergence of a fair from a three to one coin: 1 - log2(3) / 2 = 0.2075 bits
    assert bits((0.5, 0.5), (0.25, 0.75)) == pytest.approx(0.2075, abs=1e-4)
