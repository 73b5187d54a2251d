"""What a meter reads: nine in ten inside, every combination a distribution, size never lost."""

from __future__ import annotations

from itertools import pairwise
from math import log
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.engine.bayes.densities import (
    WHOLE,
    Component,
    Density,
    Extreme,
    ReadingDensity,
    Scale,
    logistic_between,
    mixture,
    nothing,
    shifted,
    summed_drops,
)

VOLTS = Scale(0.005, 0.02)
GRID = [0.5 * n for n in range(1600)]

values = st.floats(0.0, 400.0)


def range_of(low: float, high: float, scale: Scale = VOLTS) -> Density:
    return Density((logistic_between(scale.position(low), scale.position(high)),))


@st.composite
def densities(draw: st.DrawFn) -> Density:
    low = draw(st.floats(0.0, 10.0))
    main = logistic_between(VOLTS.position(low), VOLTS.position(low + draw(st.floats(0.01, 5.0))))
    zero, full = draw(st.floats(0.0, 0.5)), draw(st.floats(0.0, 0.5))
    parts = [main._replace(weight=1.0 - zero - full), nothing(zero)]
    parts.append(logistic_between(VOLTS.position(11.0), VOLTS.position(12.9), WHOLE, full))
    return Density(tuple(part for part in parts if part.weight > 0.0))


def mass(row: ReadingDensity) -> float:
    """Integral of a density by the trapezoid rule."""
    found = [row.at(position) for position in GRID]
    return sum(0.25 * (a + b) for a, b in pairwise(found))


@given(values)
def test_a_position_leads_back_to_the_reading(value: float) -> None:
    assert VOLTS.value(VOLTS.position(value)) == pytest.approx(value, abs=1e-9)


@given(values)
def test_on_the_scale_the_error_of_a_reading_is_one_everywhere(value: float) -> None:
    step = 1e-4
    slope = (VOLTS.position(value + step) - VOLTS.position(value)) / step
    assert slope * VOLTS.deviation(value) == pytest.approx(1.0, rel=0.02)


def test_nine_readings_in_ten_lie_inside_a_range() -> None:
    row = range_of(0.5, 2.0)
    low, high = VOLTS.position(0.5), VOLTS.position(2.0)
    # The logistic distribution has 5 and 95 % at its middle -+ scale * ln 19.
    assert row.below(low) == pytest.approx(0.05, abs=1e-4)
    assert row.below(high) == pytest.approx(0.95, abs=1e-4)
    spread = (high - low) / (2.0 * log(19.0))
    at_middle = 1.0 / (4.0 * spread)
    assert row.at((low + high) / 2.0) == pytest.approx(at_middle, rel=1e-4)


@settings(max_examples=25, deadline=None)
@given(densities())
def test_every_density_is_a_distribution(row: Density) -> None:
    assert mass(row) == pytest.approx(1.0, abs=0.02)
    reached = row.all_below(GRID)
    assert all(a <= b + 1e-12 for a, b in pairwise(reached))
    assert reached[-1] == pytest.approx(1.0, abs=1e-6)


@settings(max_examples=25, deadline=None)
@given(densities(), densities(), densities(), st.sampled_from(["adds", "shifts", "largest", "smallest"]))
def test_what_several_faults_read_is_a_distribution_too(a: Density, b: Density, c: Density, way: str) -> None:
    healthy, rows = range_of(0.02, 0.2), (a, b, c)
    row: ReadingDensity
    if way == "adds":
        row = summed_drops(VOLTS, healthy, rows)
    elif way == "shifts":
        row = shifted(healthy, rows)
    else:
        row = Extreme(rows, way == "largest")
    assert mass(row) == pytest.approx(1.0, abs=0.03)
    reached = row.all_below(GRID)
    assert all(low <= high + 1e-9 for low, high in pairwise(reached))


def test_two_bad_joints_read_about_the_sum_of_both() -> None:
    """Held against sums of independent draws."""
    healthy, one, other = range_of(0.02, 0.1), range_of(0.5, 2.0), range_of(0.4, 3.0)
    both = summed_drops(VOLTS, healthy, [one, other])
    rng = Random(7)
    drawn = sorted(sample(rng, one) + sample(rng, other) for _ in range(4000))
    for share in (0.1, 0.25, 0.5, 0.75, 0.9):
        seen = drawn[int(share * len(drawn))]
        assert both.below(VOLTS.position(seen)) == pytest.approx(share, abs=0.1)


def sample(rng: Random, row: Density) -> float:
    (part,) = row.parts
    u = rng.uniform(1e-6, 1.0 - 1e-6)
    return VOLTS.value(part.middle + part.spread * log(u / (1.0 - u)))


def test_two_bad_joints_never_look_sound() -> None:
    healthy, bad = range_of(0.02, 0.1), range_of(0.5, 2.0)
    both = summed_drops(VOLTS, healthy, [bad, bad])
    at = VOLTS.position(0.08)
    assert both.at(at) < 1e-3 * healthy.at(at)
    assert both.below(at) < bad.below(at)


def test_no_current_hides_both_and_an_open_joint_takes_it_all() -> None:
    healthy, bad = range_of(0.02, 0.1), range_of(0.5, 2.0)
    idle, opened = Density((nothing(),)), Density((logistic_between(600.0, 640.0, WHOLE),))
    assert summed_drops(VOLTS, healthy, [bad, idle]) == idle
    assert summed_drops(VOLTS, healthy, [bad, opened]).middle == opened.middle


def test_moves_of_several_faults_add() -> None:
    scale = Scale(0.05, 0.0)
    healthy, low, lower = range_of(9.5, 11.5, scale), range_of(7.5, 9.5, scale), range_of(6.5, 8.5, scale)
    both = shifted(healthy, [low, lower])
    assert scale.value(both.middle) == pytest.approx(8.5 + 7.5 - 10.5)
    up = shifted(healthy, [low, range_of(11.0, 13.0, scale)])
    assert scale.value(up.middle) == pytest.approx(8.5 + 12.0 - 10.5)


@given(st.floats(0.4, 10.0))
def test_twice_the_size_is_never_weaker_against_a_sound_circuit(value: float) -> None:
    healthy = range_of(0.02, 0.2)
    bad = mixture([(0.6, range_of(0.4, 3.0)), (0.4, range_of(1.8, 10.5))])

    def odds(volts: float) -> float:
        at = VOLTS.position(volts)
        return bad.at(at) / healthy.at(at)

    assert odds(2.0 * value) >= odds(value)


@given(st.floats(0.0, 400.0), st.floats(0.0, 0.25))
def test_the_evidence_never_jumps(position: float, step: float) -> None:
    """The slope of a logistic density's logarithm is at most 1 / scale; the narrowest scale is about 0.55."""
    narrow, wide = Density((logistic_between(100.0, 101.0),)), range_of(0.4, 3.0)
    ratios = [narrow.at(at) / wide.at(at) for at in (position, position + step)]
    assert abs(log(ratios[1] / ratios[0])) <= step * 4.0 + 1e-12


def test_a_surer_reading_narrows_and_an_unsure_one_widens() -> None:
    row = Density((Component(1.0, 100.0, 1.0),))
    assert row.at(100.0, 0.5) > row.at(100.0) > row.at(100.0, 3.0)
    assert row.at(108.0, 0.5) < row.at(108.0) < row.at(108.0, 3.0)
