"""Densities said in the measurement's unit."""

from __future__ import annotations

import pytest

from crankpath.engine.bayes.densities import (
    OF_DEVIATION,
    WHOLE,
    Component,
    Density,
    Extreme,
    Scale,
    logistic_between,
    nothing,
)
from crankpath.engine.bayes.tables import Effect, MeterTable
from crankpath.engine.inference.expected import expected, expected_of, fits, mean_surprise, quantile

VOLTS = Scale(0.01, 0.02)


def volts(low: float, high: float, sort: int = 0, weight: float = 1.0) -> Component:
    return logistic_between(VOLTS.position(low), VOLTS.position(high), sort, weight)


def test_a_range_comes_back_as_it_was_written() -> None:
    found = expected(Density((volts(0.4, 3.0),)), VOLTS)
    assert (found.low, found.high) == (pytest.approx(0.4, rel=0.01), pytest.approx(3.0, rel=0.01))
    assert found.middle is not None
    assert 0.4 < found.middle < 3.0
    assert (found.nothing, found.whole, found.sound) == (0.0, 0.0, 0.0)


def test_nothing_and_the_whole_battery_are_shares_apart() -> None:
    parts = (volts(0.4, 3.0, weight=0.7), nothing(0.1), volts(11.0, 12.0, WHOLE, 0.2))
    found = expected(Density(parts), VOLTS)
    assert (found.nothing, found.whole) == (pytest.approx(0.1), pytest.approx(0.2))
    assert found.high == pytest.approx(3.0, rel=0.01)
    only = expected(Density((nothing(0.65), volts(11.0, 12.0, WHOLE, 0.35))), VOLTS)
    assert (only.low, only.middle, only.high) == (None, None, None)


def test_the_range_of_a_largest_reading_lies_above_that_of_each() -> None:
    rows = (Density((volts(0.4, 3.0),)), Density((volts(0.5, 2.0),)))
    found = expected(Extreme(rows, True), VOLTS)
    assert found.low is not None
    assert found.low > 0.5
    assert quantile(rows[0], 0.5, VOLTS) < (found.middle or 0.0)


def test_a_degree_without_effect_reads_as_a_sound_circuit() -> None:
    table = MeterTable(
        Density((volts(0.05, 0.2),)), {1: Effect(Density((volts(0.4, 3.0),)))}, Density(()), scale=VOLTS
    )
    found = expected_of(table, {0: 0.25, 1: 0.75})
    assert found.sound == pytest.approx(0.25)
    assert found.high == pytest.approx(3.0, rel=0.01)
    alone = expected_of(table, {0: 1.0})
    assert alone.sound == 1.0
    assert alone.high == pytest.approx(0.2, rel=0.05)


def test_a_reading_fits_inside_nine_in_ten_of_a_part_that_counts() -> None:
    reads = Density((volts(0.4, 3.0, weight=0.78), nothing(0.2), volts(11.0, 12.0, WHOLE, 0.02)))
    assert [fits(reads, VOLTS.position(value)) for value in (0.0, 0.2, 0.5, 2.9, 5.0, 11.5)] == [
        True, False, True, True, False, False,
    ]  # fmt: skip


def test_the_mean_surprise_is_the_entropy_of_the_density() -> None:
    # entropy of a logistic density: 2 nats + ln of its scale parameter (Johnson, Kotz & Balakrishnan,
    # Continuous Univariate Distributions 2, chapter 23; from memory)
    reads = Density((Component(1.0, 400.0, OF_DEVIATION * 10.0),))
    entropy = (2.0 + 1.7) / 0.693147  # ln(10 sqrt(3) / pi) = 1.707
    assert mean_surprise(reads, 0.0, 0.0) == pytest.approx(entropy, abs=0.15)
