"""Weights of evidence, predictions and what was ruled out."""

from __future__ import annotations

from collections.abc import Callable
from math import log10

import pytest

from crankpath.engine import Case

CaseOf = Callable[..., Case]


def odds(case: Case, fault: str | None) -> float:
    chance = next(c.probability for c in case.causes() if c.fault == fault)
    return chance / (1.0 - chance)


@pytest.mark.parametrize("fault", ["positive_post_joint", "starter_dragging", None])
def test_a_reason_is_the_factor_by_which_the_reading_changed_the_odds(
    case_of: CaseOf, fault: str | None
) -> None:
    readings = ["crank_behaviour slow", "positive_post_drop 0.7 V", "lights_while_cranking dim"]
    case = case_of(*readings)
    reasons = {r.measurement: r for r in case.why(fault)}
    for reading in readings[1:]:  # what it does decides which rules hold for the others
        without = case_of(*(r for r in readings if r != reading))
        reason = reasons[reading.split()[0]]
        assert reason.factor == pytest.approx(odds(case, fault) / odds(without, fault))
        assert reason.decibans == pytest.approx(10 * log10(reason.factor))  # Good 1950, weight of evidence


def test_reasons_come_strongest_first_with_rule_because_and_place(case_of: CaseOf) -> None:
    reasons = case_of("crank_behaviour slow", "positive_post_drop 1.5 V").why("positive_post_joint")
    assert [abs(r.decibans) for r in reasons] == sorted((abs(r.decibans) for r in reasons), reverse=True)
    first = reasons[0]
    assert (first.measurement, first.text, first.band) == ("positive_post_drop", "1.5 V", "high")
    assert first.rule == "slight_resistance_shows_across"
    assert first.origin is not None
    assert first.origin.file.endswith("main_resistance.yaml")


def test_where_no_rule_speaks_the_healthy_reading_holds_and_is_told_so(case_of: CaseOf) -> None:
    (reason,) = case_of("positive_post_inspection clean_tight").why("ring_gear")
    assert reason.rule is None
    assert reason.sources == ()


def test_repeats_are_told_together(case_of: CaseOf) -> None:
    (reason,) = case_of("positive_post_drop 1.5 V", "positive_post_drop 1.6 V").why("positive_post_joint")
    assert reason.text == "1.5 V and 1.6 V"


def test_a_failed_repair_is_a_reason_without_a_measurement(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    case.repaired("clean_positive_post", cured=False)
    reason = next(r for r in case.why("positive_post_joint") if r.measurement is None)
    assert reason.band == "not cured"
    assert reason.factor < 1.0


def test_predictions_are_of_the_likeliest_causes_in_turn(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "battery_crank_voltage 10.9 V")
    listed = [c.fault for c in case.causes() if c.fault is not None]
    predictions = case.predictions("positive_post_drop")
    assert [p.fault for p in predictions] == listed[:3]
    for prediction in predictions:
        assert list(prediction.chances) == list(case.kb.measurements["positive_post_drop"].bands)
        assert sum(prediction.chances.values()) == pytest.approx(1.0)


def test_a_prediction_is_of_what_is_left_after_a_repair(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.8 V")
    assert case.predictions("positive_leg_drop")[0].fault == "positive_post_joint"
    case.repaired("clean_positive_post", cured=True)
    assert "positive_post_joint" not in {p.fault for p in case.predictions("positive_leg_drop")}


def test_what_was_never_thinkable_is_not_ruled_out(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 2.2 V", "positive_post_inspection corroded")
    before = {c.fault: c.probability for c in case_of("crank_behaviour slow").causes()}
    now = {c.fault: c.probability for c in case.causes()}
    for gone in case.ruled_out():
        assert gone.before == pytest.approx(before[gone.fault])
        assert gone.before >= 0.01 > gone.now
        assert gone.now == pytest.approx(now[gone.fault])
        assert gone.by.factor < 1.0
    assert case.ruled_out()
