"""A closed case: which readings count, and for which fault."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning.closed_case import ClosedCase, confirmed_faults, grouped

CaseOf = Callable[..., Case]


def read(one: ClosedCase) -> set[str]:
    return {piece.taken.measurement.id for piece in one.pieces}


def test_readings_after_the_cure_do_not_count_and_those_after_a_failed_repair_do(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 1.4 V")
    case.repaired("charge_battery", cured=False)
    case.record("positive_post_drop", "1.3 V")
    case.repaired("clean_positive_post", cured=True)
    case.record("negative_leg_drop", "50 mV")
    one = ClosedCase("one", case, (("positive_post_joint",),))
    assert read(one) == {"crank_behaviour", "positive_leg_drop", "positive_post_drop"}


def test_a_take_that_a_later_one_replaced_does_not_count(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 0.1 V", "positive_leg_drop 1.4 V")
    one = ClosedCase("one", case, (("positive_post_joint",),))
    assert [p.taken.value for p in one.pieces if p.taken.measurement.numeric] == [1.4]


def test_a_reading_on_a_good_crank_is_not_the_faults_own(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent", "crank_behaviour slow", "positive_leg_drop 30 mV~")
    assert "positive_leg_drop" not in read(ClosedCase("one", case, (("positive_post_joint",),)))


def test_faults_of_one_repair_share_a_case_by_what_was_read(kb: Knowledge, case_of: CaseOf) -> None:
    faults = ("battery_worn", "battery_dead_cell", "battery_open_inside")
    assert len({kb.faults[fault].repair for fault in faults}) == 1
    assert grouped(faults, kb.faults) == (faults,)
    case = case_of("crank_behaviour slow", "battery_rest_voltage 10.5 V")
    blamed = ClosedCase("one", case, (faults,)).blamed_faults
    assert sum(blamed.values()) == pytest.approx(1.0)
    assert max(blamed, key=lambda fault: blamed[fault]) == "battery_dead_cell"
    assert blamed["battery_dead_cell"] > 0.8


def test_several_repairs_before_the_cure_leave_every_fault_of_them_open(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.4 V")
    case.repaired("replace_starter", cured=False)
    case.repaired("clean_positive_post")
    case.repaired("clean_negative_post", cured=True)
    assert set(confirmed_faults(case)) == {"positive_post_joint", "negative_post_joint"}
    blamed = ClosedCase("one", case, (confirmed_faults(case),)).blamed_faults
    assert blamed["positive_post_joint"] > 0.9


def test_without_a_cure_nothing_was_found(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    case.repaired("clean_positive_post", cured=False)
    assert confirmed_faults(case) == ()


def test_of_two_faults_found_nothing_is_blamed_alone(case_of: CaseOf) -> None:
    one = ClosedCase("one", case_of("crank_behaviour slow"), (("positive_post_joint",), ("battery_worn",)))
    assert one.blame == {}
    assert one.blamed_faults == {"positive_post_joint": 1.0, "battery_worn": 1.0}
