"""Sums that fail and evidence that disagrees."""

from __future__ import annotations

from collections.abc import Callable
from math import log2

import pytest

from crankpath.engine import Case
from crankpath.engine.inference.conflict import most_surprising, surprise
from crankpath.engine.knowledge.records import Knowledge

CaseOf = Callable[..., Case]

SUM = ("battery_crank_voltage 11.0 V", "positive_leg_drop 0.3 V", "starter_crank_voltage 10.4 V")
DEAD_AND_TURNING = ("crank_behaviour slow", "crank_current 500 A", "start_terminal_voltage 0 V")


@pytest.mark.parametrize(
    ("negative", "fails"), [("0.3 V", False), ("0.9 V", False), ("1.8 V", True), ("5 V", True)]
)
def test_a_sum_may_be_off_by_meters_and_ripple_and_no_more(
    case_of: CaseOf, negative: str, fails: bool
) -> None:
    found = case_of("crank_behaviour slow", *SUM, f"negative_leg_drop {negative}").residuals()
    assert bool(found) is fails
    if fails:
        assert abs(found[0].residual) > 2 * found[0].sigma


def test_a_sum_is_looked_at_only_when_all_of_it_was_read_under_the_same_conditions(case_of: CaseOf) -> None:
    assert case_of("crank_behaviour slow", *SUM).residuals() == ()
    assert case_of("crank_behaviour slow", *SUM, "negative_leg_drop 5 V ~").residuals() == ()
    case = case_of("crank_behaviour slow", *SUM)
    case.repaired("clean_negative_post", cured=False)
    case.record("negative_leg_drop", "5 V")
    assert case.residuals() == ()


def test_a_sum_with_parts_that_this_machine_lacks_is_another_sum(case_of: CaseOf) -> None:
    parts = ("negative_leg_drop 1.5 V", "negative_post_drop 10 mV", "starter_mount_drop 10 mV")
    direct = case_of("crank_behaviour slow", *parts, "negative_cable_drop 0.1 V")
    assert [r.balance.id for r in direct.residuals()] == ["negative_leg_parts"]
    frame = case_of("crank_behaviour slow", *parts, "negative_cable_drop 0.1 V", ground_path="frame")
    assert frame.residuals() == ()
    assert frame.what_if("ground_strap_drop", "1.4 V").residuals() == ()


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        (("positive_leg_drop 9.9 V", "starter_crank_voltage 9.1 V"), True),  # 19 V of a 12 V battery
        (("positive_leg_drop 2.9 V", "starter_crank_voltage 9.1 V"), False),
        (("positive_post_drop 9.9 V", "starter_crank_voltage 9.1 V"), True),  # a part of a leg not read
        (("positive_leg_drop 9.9 V", "crank_current 300 A"), False),
        (("battery_crank_voltage 10 V", "positive_leg_drop 4 V", "starter_crank_voltage 9 V"), True),
        (("battery_crank_voltage 10 V", "positive_leg_drop 12 V"), True),
        (("positive_leg_drop 0.4 V", "positive_post_drop 3 V"), True),
    ],
)
def test_parts_that_together_exceed_the_whole_are_told_before_all_of_it_was_read(
    case_of: CaseOf, readings: tuple[str, ...], told: bool
) -> None:
    case = case_of("crank_behaviour slow", *readings)
    found = case.residuals()
    assert bool(found) is told
    if told:
        assert found[0].residual < -2 * found[0].sigma
        assert found[0].suspect in {reading.split()[0] for reading in readings}


def test_what_two_readings_may_be_together_follows_the_system_voltage(case_of: CaseOf) -> None:
    both = "positive_leg_drop 9.9 V", "starter_crank_voltage 9.1 V"
    assert case_of("crank_behaviour slow", *both, system_voltage=12).residuals()
    assert not case_of("crank_behaviour slow", *both, system_voltage=24).residuals()


def test_several_failing_sums_come_worst_first(case_of: CaseOf) -> None:
    case = case_of(
        "crank_behaviour slow", *SUM, "negative_leg_drop 5 V", "interlock_output_voltage 12 V",
        "key_switch_output_voltage 10.5 V",
    )  # fmt: skip
    worth = [abs(r.residual) / r.sigma for r in case.residuals()]
    assert len(worth) == 2
    assert worth == sorted(worth, reverse=True)


def test_conflict_is_the_log_of_the_product_over_the_joint(case_of: CaseOf) -> None:
    # Jensen, Chamberlain, Nordahl & Jensen 1990: conf = log2(prod P(e_i) / P(e)).
    case = case_of(*DEAD_AND_TURNING, "interlock_output_voltage 0 V")
    assessment = case.assessment
    alone = [assessment.posterior_of([piece]).evidence_chance for piece in assessment.used]
    expected = sum(map(log2, alone)) - log2(assessment.posterior.evidence_chance)
    found = case.conflict()
    assert found is not None
    assert found.bits == pytest.approx(expected)


def test_a_conflict_below_the_stated_level_is_none(case_of: CaseOf) -> None:
    assert case_of().conflict() is None
    assert case_of("crank_behaviour slow").conflict() is None
    found = case_of(*DEAD_AND_TURNING, "interlock_output_voltage 0 V").conflict()
    assert found is not None
    assert found.bits > case_of().kb.settings["conflict_bits"]


def test_surprise_is_what_the_other_readings_leave_a_reading(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.5 V", "positive_leg_drop 0.05 V")
    pieces = {p.taken.measurement.id: p for p in case.assessment.used if p.taken}
    post = surprise(case.assessment, pieces["positive_post_drop"])
    assert post > 3.0
    calm = case_of("crank_behaviour slow", "positive_post_drop 1.5 V", "positive_leg_drop 1.6 V")
    fitting = {p.taken.measurement.id: p for p in calm.assessment.used if p.taken}
    assert surprise(calm.assessment, fitting["positive_leg_drop"]) < 1.0


def test_the_most_surprising_reading_is_a_metered_one_where_there_is_one(case_of: CaseOf) -> None:
    assert most_surprising(case_of().assessment) is None
    assert most_surprising(case_of("crank_behaviour slow").assessment) == "crank_behaviour"
    case = case_of("crank_behaviour slow", "lights_while_cranking go_out", "positive_post_drop 5 mV")
    assert most_surprising(case.assessment) == "positive_post_drop"


@pytest.mark.parametrize(
    ("wrong", "value"),
    [("positive_leg_drop", "3.0"), ("negative_leg_drop", "2.0"), ("battery_crank_voltage", "1.01")],
)
def test_a_point_one_place_off_is_found_in_the_sum_and_that_reading_is_asked_for_again(
    shipped: Knowledge, wrong: str, value: str
) -> None:
    sum_of = {
        "battery_crank_voltage": "10.1", "starter_crank_voltage": "9.6", "positive_leg_drop": "0.3",
        "negative_leg_drop": "0.2",
    }  # fmt: skip
    case = Case(shipped, {"system_voltage": 12})
    case.record("crank_behaviour", "slow")
    for name, text in (sum_of | {wrong: value}).items():
        case.record(name, text)
    assert case.residuals()[0].suspect == wrong
    verdict = case.verdict()
    assert (verdict.action, verdict.measurement, verdict.again) == ("measure", wrong, True)
    case.record(wrong, sum_of[wrong])
    assert case.residuals() == ()
    assert not case.verdict().again


def test_a_reading_that_was_confirmed_is_not_suspected_again(shipped: Knowledge) -> None:
    case = Case(shipped, {"system_voltage": 12})
    for name, text in (
        ("crank_behaviour", "slow"), ("battery_crank_voltage", "10.1"), ("starter_crank_voltage", "9.6"),
        ("positive_leg_drop", "3.0"), ("positive_leg_drop", "3.0"), ("negative_leg_drop", "0.2"),
    ):  # fmt: skip
        case.record(name, text)
    assert case.residuals()[0].suspect != "positive_leg_drop"
