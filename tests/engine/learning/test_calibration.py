"""Closed cases seen again: rules that misled, chances that were stated."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.engine import Case
from crankpath.engine.learning.calibration import Calibration
from crankpath.engine.learning.closed_case import ClosedCase, grouped

CaseOf = Callable[..., Case]


def closed(case: Case, *causes: str, name: str = "a case") -> ClosedCase:
    return ClosedCase(name, case, grouped(causes, case.kb.faults))


def seen_again(*cases: ClosedCase) -> Calibration:
    found = Calibration(cases[0].case.kb)
    for one in cases:
        found.take(one)
    return found


def test_a_rule_that_was_sure_of_another_reading_is_told_with_what_was_read(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 20 mV")
    found = seen_again(
        closed(case, "positive_post_joint", name="one"), closed(case, "positive_post_joint")
    ).misleading
    worst = found[0]
    assert (worst.rule, worst.measurement) == ("slight_resistance_shows_across", "positive_post_drop")
    assert (worst.readings, worst.cases) == (2, ("one", "a case"))
    assert worst.values == pytest.approx((0.02, 0.02))
    assert worst.expected is not None
    said = case.kb.rules[worst.rule].reads.between
    assert (worst.expected.low, worst.expected.high) == pytest.approx(said, rel=0.1)
    assert worst.bits > 3
    assert worst.origin.file.endswith("main_resistance.yaml")


def test_readings_as_the_rules_expect_them_mislead_nobody(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.4 V")
    assert seen_again(closed(case, "positive_post_joint")).misleading == ()


def test_readings_after_a_repair_or_with_the_symptom_away_mislead_nobody(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent", "crank_behaviour slow", "positive_post_drop 20 mV~")
    case.repaired("clean_positive_post", cured=True)
    case.record("positive_post_drop", "10 mV")
    measured = {s.measurement for s in seen_again(closed(case, "positive_post_joint")).misleading}
    assert "positive_post_drop" not in measured


def test_two_confirmed_causes_tell_nothing_of_one_rule(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 20 mV")
    assert seen_again(closed(case, "positive_post_joint", "battery_worn")).misleading == ()


def test_the_repair_stated_before_the_first_repair_is_held_against_what_was_needed(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 1.4 V", "positive_post_drop 1.3 V")
    before = case.advisor.repair_chances["clean_positive_post"]
    case.repaired("clean_positive_post", cured=True)
    right, wrong = seen_again(
        closed(case, "positive_post_joint"), closed(case, "positive_cable")
    ).stated
    assert right.repair == wrong.repair == "clean_positive_post"
    assert (right.right, wrong.right) == (True, False)
    assert right.chance == pytest.approx(before, abs=0.02)
    assert wrong.needed == ("replace_positive_cable",)
