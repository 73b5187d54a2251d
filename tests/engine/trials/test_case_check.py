"""A case held against what it expects: what passes, what fails, and what is told of it."""

from __future__ import annotations

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.trials.case_check import CaseResult, check_text

READINGS = """\
equipment: {system_voltage: 12, duty: heavy}
readings:
  crank_behaviour: slow
  battery_crank_voltage: 10.6 V
  negative_leg_drop: 0.1 V
  positive_leg_drop: 1.1 V
  positive_post_drop: 0.9 V
"""


def checked(kb: Knowledge, expect: str, readings: str = READINGS) -> CaseResult:
    return check_text(kb, f"{readings}expect: {expect}\n", "case.yaml")


@pytest.mark.parametrize(
    "expect",
    [
        "{first: positive_post_joint}",
        "{repair: clean_positive_post}",
        "{verdict: {action: repair, repair: clean_positive_post}}",
        "{chance: {positive_post_joint: {least: 0.9}, not_listed: {most: 0.1}}}",
        "{never: [replace_battery, engine_locked]}",
        "{next: [positive_post_drop, starter_stud_drop]}",
    ],
)
def test_what_comes_out_as_it_must_passes(kb: Knowledge, expect: str) -> None:
    readings = READINGS if "next" not in expect else READINGS.rsplit("\n", 2)[0] + "\n"
    assert checked(kb, expect, readings).failures == ()


@pytest.mark.parametrize(
    ("expect", "what", "expected", "got"),
    [
        ("{first: engine_drag}", "first", "engine_drag", "positive_post_joint"),
        ("{first: null}", "first", "not_listed", "positive_post_joint"),
        ("{repair: replace_battery}", "repair", "replace_battery", "clean_positive_post"),
        ("{verdict: {action: stuck}}", "verdict", "action stuck", "repair clean_positive_post"),
        ("{chance: {positive_post_joint: {most: 0.5}}}", "chance", "positive_post_joint from 0 to 0.5", "0."),
        ("{says: the moon is full}", "says", "'the moon is full'", ""),
        ("{next: [crank_speed]}", "next", "crank_speed", ""),
    ],
)
def test_what_comes_out_otherwise_is_told_with_both(
    kb: Knowledge, expect: str, what: str, expected: str, got: str
) -> None:
    (failure,) = checked(kb, expect).failures
    assert (failure.what, failure.expected) == (what, expected)
    assert failure.got.startswith(got)


def test_never_holds_after_every_entry_not_only_at_the_end(kb: Knowledge) -> None:
    later = READINGS + "entries: [{repaired: clean_positive_post, cured: false}]\n"
    (failure,) = checked(kb, "{never: [clean_positive_post]}", later).failures
    assert failure.after == "positive_post_drop 0.9 V"


def test_a_failure_carries_readings_ranking_and_the_rules_for_both_causes(kb: Knowledge) -> None:
    result = checked(kb, "{first: positive_cable}")
    assert result.entries[-1] == "positive_post_drop 0.9 V"
    assert result.ranking[0][0] == "positive_post_joint"
    reasons = dict(result.reasons)
    assert set(reasons) == {"positive_cable", "positive_post_joint"}
    assert any(reason.rule and reason.origin for reason in reasons["positive_post_joint"])


def test_a_case_that_expects_nothing_or_names_nothing_known_is_a_slip_with_its_place(kb: Knowledge) -> None:
    assert "expects nothing" in check_text(kb, READINGS, "case.yaml").problems[0].message
    (problem,) = checked(kb, "{first: positve_cable}").problems
    assert problem.origin.line == 8
    assert "positive_cable" in problem.advice
    assert not checked(kb, "{first: positve_cable}").passed
