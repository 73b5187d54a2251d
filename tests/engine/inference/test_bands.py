"""Limits in force, and the band that a reading lies in."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import (
    band_of,
    limit_set_in_force,
    limits_in_force,
)
from crankpath.engine.knowledge.condition import Facts, Is
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import (
    HealthyReading,
    LimitSet,
    Measurement,
    MeterError,
    Origin,
    Range,
)

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
    combination="adds",
    scale=1.0,
    whole=(),
    limits=(AT_24, BY_CURRENT, PLAIN),
    healthy=(
        HealthyReading(Is("duty", ("heavy",)), Range((0.02, 0.3)), HERE),
        HealthyReading(None, Range((0.0, 0.1)), HERE),
    ),
    between=None,
    covers=(),
    leaves_out=(),
    signed=False,
    least=0.0,
    most=None,
    doubtful_above=None,
    error=MeterError(0.05, 0.01),
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


@pytest.mark.parametrize(
    ("value", "band"),
    [(0.0, "low"), (0.2, "low"), (0.201, "near"), (0.4, "near"), (0.41, "high"), (math.inf, "high")],
)
def test_a_value_at_a_limit_is_within_it(value: float, band: str) -> None:
    assert band_of(DROP, value, Facts()) == band


def test_an_observation_is_its_value() -> None:
    assert band_of(SEEN, "slow", Facts()) == "slow"
    with pytest.raises(CaseError):
        band_of(SEEN, "fast", Facts())
    with pytest.raises(CaseError):
        band_of(SEEN, 0.4, Facts())


def test_what_is_no_number_is_no_reading() -> None:
    with pytest.raises(CaseError):
        band_of(DROP, math.nan, Facts())
