"""Limits in force, and the soft share of each band in a reading."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import (
    band_of,
    band_shares,
    healthy_chances,
    limit_set_in_force,
    limits_in_force,
)
from crankpath.engine.knowledge.condition import Facts, Is
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import HealthyReading, LimitSet, Measurement, Origin

HERE = Origin("test.yaml", 1, 1)
AT_24 = LimitSet(Is("system_voltage", (24,)), (0.4, 0.8), ("book",), "", HERE)
BY_CURRENT = LimitSet(Is("duty", ("heavy",)), (Formula.parse("crank_current * 0.0005"), 2.0), (), "", HERE)
PLAIN = LimitSet(None, (0.2, 0.4), (), "", HERE)
DROP = Measurement(
    id="leg_drop",
    label="leg drop",
    short="leg",
    aliases=(),
    asks="",
    group="g",
    kinds=(),
    unit="V",
    bands=("low", "near", "high"),
    band_labels={},
    push="up",
    limits=(AT_24, BY_CURRENT, PLAIN),
    healthy=(
        HealthyReading(Is("duty", ("heavy",)), (0.8, 0.19, 0.01), HERE),
        HealthyReading(None, (0.9, 0.09, 0.01), HERE),
    ),
    between=None,
    spans=(),
    leaves_out=(),
    signed=False,
    least=0.0,
    most=None,
    doubtful_above=None,
    relative_error=0.05,
    absolute_error=0.01,
    state="cranking",
    setups=(),
    tools=(),
    minutes=1.0,
    only=None,
    parallel=None,
    leads="",
    meter="",
    steps=(),
    misleads="",
    cautions=(),
    sources=(),
    origin=HERE,
)
SEEN = replace(DROP, unit=None, limits=(), bands=("normal", "slow", "silent"))
values = st.floats(-20, 20)


def test_the_first_limits_whose_condition_holds_are_in_force() -> None:
    assert limits_in_force(DROP, Facts({"system_voltage": 24})) == (0.4, 0.8)
    assert limit_set_in_force(DROP, Facts({"system_voltage": 24})) is AT_24


def test_an_unknown_condition_does_not_hold() -> None:
    assert limits_in_force(DROP, Facts()) == (0.2, 0.4)


def test_limits_with_an_unknown_quantity_are_passed_over() -> None:
    assert limits_in_force(DROP, Facts({"duty": "heavy"})) == (0.2, 0.4)
    assert limits_in_force(DROP, Facts({"duty": "heavy", "crank_current": 400})) == (0.2, 2.0)


def test_limits_that_do_not_ascend_on_this_machine_are_passed_over() -> None:
    assert limits_in_force(DROP, Facts({"duty": "heavy", "crank_current": 9000})) == (0.2, 0.4)


def test_no_limits_is_a_sentence_that_names_the_missing_facts() -> None:
    bare = replace(DROP, limits=(AT_24, BY_CURRENT))
    with pytest.raises(CaseError, match="tell crank_current, duty, system_voltage first"):
        limits_in_force(bare, Facts())


def test_an_observation_has_no_limits() -> None:
    assert limits_in_force(SEEN, Facts()) == ()


def test_healthy_chances_depend_on_the_machine() -> None:
    assert healthy_chances(DROP, Facts({"duty": "heavy"})) == (0.8, 0.19, 0.01)
    assert healthy_chances(DROP, Facts()) == (0.9, 0.09, 0.01)
    with pytest.raises(CaseError):
        healthy_chances(replace(DROP, healthy=DROP.healthy[:1]), Facts())


@pytest.mark.parametrize(
    ("value", "band"),
    [(0.0, "low"), (0.2, "low"), (0.201, "near"), (0.4, "near"), (0.41, "high"), (math.inf, "high")],
)
def test_a_value_at_a_limit_is_within_it(value: float, band: str) -> None:
    assert band_of(DROP, value, Facts()) == band


def test_an_observation_is_wholly_its_value() -> None:
    assert band_shares(SEEN, "slow", Facts()) == (0.0, 1.0, 0.0)
    assert band_of(SEEN, "slow", Facts()) == "slow"
    with pytest.raises(CaseError):
        band_shares(SEEN, "fast", Facts())
    with pytest.raises(CaseError):
        band_of(SEEN, 0.4, Facts())


def test_an_open_circuit_is_wholly_the_last_band() -> None:
    assert band_shares(DROP, math.inf, Facts()) == (0.0, 0.0, 1.0)
    with pytest.raises(CaseError):
        band_shares(DROP, math.nan, Facts())


@given(values, st.one_of(st.none(), st.floats(0.01, 5)))
def test_shares_are_those_of_a_normal_error(value: float, sd: float | None) -> None:
    # reference: the standard library's normal distribution
    error = NormalDist(value, math.hypot(0.05 * value, 0.01) if sd is None else sd)
    low, high = error.cdf(0.2), error.cdf(0.4)
    assert band_shares(DROP, value, Facts(), sd) == pytest.approx((low, high - low, 1 - high), abs=1e-12)


@given(values, st.one_of(st.none(), st.floats(0, 5)))
def test_shares_sum_to_one_and_none_is_negative(value: float, sd: float | None) -> None:
    shares = band_shares(DROP, value, Facts(), sd)
    assert sum(shares) == pytest.approx(1, abs=1e-12)
    assert min(shares) >= 0


@given(values, st.floats(-1e-6, 1e-6))
def test_a_small_change_of_the_value_changes_the_shares_little(value: float, change: float) -> None:
    # the steepest a normal distribution function gets is 1 / (sd * sqrt(2 pi)); the sd is at least 0.01 here
    # and the changing sd adds less than as much again
    before, after = band_shares(DROP, value, Facts()), band_shares(DROP, value + change, Facts())
    steepest = 2 / (0.01 * math.sqrt(2 * math.pi))
    assert all(abs(a - b) <= 2 * steepest * abs(change) + 1e-12 for a, b in zip(before, after, strict=True))


def test_a_reading_at_the_limit_is_half_within_it() -> None:
    assert band_shares(DROP, 0.4, Facts())[2] == pytest.approx(0.5)


def test_a_meter_without_error_gives_one_band() -> None:
    assert band_shares(replace(DROP, relative_error=0.0, absolute_error=0.0), 0.4, Facts()) == (0.0, 1.0, 0.0)
