"""After a cure: what brought the fault about."""

from __future__ import annotations

from collections.abc import Callable

from crankpath.engine import Case

CaseOf = Callable[..., Case]
FLAT = ("crank_behaviour slow", "battery_rest_voltage 11.6 V", "battery_crank_voltage 7.4 V")


def charged(case_of: CaseOf, *more: str) -> Case:
    case = case_of(*FLAT, *more)
    case.repaired("charge_battery", cured=True)
    return case


def test_once_it_cranks_what_emptied_the_battery_is_read(case_of: CaseOf) -> None:
    case = charged(case_of)
    assert case.verdict().measurement == "charging_voltage"
    case.record("charging_voltage", "14.2 V")
    assert case.verdict().measurement == "parasitic_draw"
    case.record("parasitic_draw", "1.4 A")
    assert (case.verdict().action, case.verdict().repair) == ("repair", "find_parasitic_drain")


def test_what_was_read_before_the_cure_is_not_asked_again(case_of: CaseOf) -> None:
    case = charged(case_of, "charging_voltage 14.2 V")
    assert case.advisor.afterwards.reading() == "parasitic_draw"
    assert case.advisor.afterwards.reading(["parasitic_draw"]) is None
    assert case.advisor.afterwards.repair() is None


def test_a_hidden_draw_is_seen_by_the_reading_that_proves_it(case_of: CaseOf) -> None:
    case = charged(case_of, "charging_voltage 14.2 V")
    before = case.advisor.repair_chances["find_parasitic_drain"]
    case.record("parasitic_draw", "1.4 A")
    assert case.advisor.repair_chances["find_parasitic_drain"] > max(0.9, before)
