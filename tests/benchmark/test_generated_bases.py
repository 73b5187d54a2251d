"""Generated knowledge bases: the same for a seed, and fit for a case from complaint to verdict."""

from __future__ import annotations

from generated_bases import COMPLAINT, Size, generated, readings_of

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge


def test_the_same_seed_gives_the_same_base_and_another_one_another(kb: Knowledge) -> None:
    size = Size(20, 30)
    assert generated(kb, size, 1) == generated(kb, size, 1)
    assert generated(kb, size, 1).rules != generated(kb, size, 2).rules


def test_a_base_has_the_size_that_was_asked_for(kb: Knowledge) -> None:
    base = generated(kb, Size(20, 30, rules=4), 1)
    assert len(base.faults) == 20
    assert len(base.measurements) == 30
    assert len(base.rules) == 20 * 5


def test_without_pooled_readings_none_departs_both_ways(kb: Knowledge) -> None:
    ways = {m.worsens for m in generated(kb, Size(5, 60, pooled=False), 1).measurements.values()}
    assert ways == {"up", "down"}


def test_readings_of_a_fault_bring_it_to_the_top_of_the_ranking(kb: Knowledge) -> None:
    base = generated(kb, Size(30, 60), 4)
    found = 0
    for number in range(10):
        case = Case(base)
        for name, value in readings_of(base, f"fault_{number}", 12, 4):
            case.record(name, value)
        found += case.causes()[0].fault == f"fault_{number}"
        assert case.suggestions()
        assert case.verdict().action in ("measure", "repair", "stuck")
    assert found >= 8


def test_the_complaint_is_the_first_reading(kb: Knowledge) -> None:
    base = generated(kb, Size(5, 10), 1)
    assert readings_of(base, "fault_1", 4, 1)[0][0] == COMPLAINT
