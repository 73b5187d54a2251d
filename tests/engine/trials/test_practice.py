"""Practice: what a meter would show, minutes paid, and the truth at the end."""

from __future__ import annotations

from random import Random

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine.errors import CaseError, UnknownName
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.trials.practice import Practice

KB = shipped_knowledge()


def practice_on(fault: str, degree: str | None = None) -> Practice:
    equipment = {"system_voltage": 12, "disconnect_switch": "none", "start_relay": True}
    machine = draw_machine(Random(7), KB, "first", {fault: degree}, equipment=equipment)
    return Practice(KB, machine, 7)


def test_an_unloaded_drop_reads_nothing() -> None:
    practice = practice_on("start_fuse")
    shown = practice.ask("positive_leg_drop")
    assert isinstance(shown.value, float)
    assert abs(shown.value) < 0.05


def test_set_up_is_paid_once() -> None:
    practice = practice_on("positive_cable", "slight")
    first, again = practice.ask("positive_leg_drop"), practice.ask("positive_cable_drop")
    assert first.minutes > again.minutes
    assert practice.minutes == first.minutes + again.minutes


def test_naming_the_cause_ends_with_the_truth_and_what_the_advice_would_have_done() -> None:
    practice = practice_on("positive_cable", "slight")
    practice.ask("positive_leg_drop")
    told = practice.name("positive_cable")
    assert told.right
    assert told.truth == ("positive_cable",)
    assert told.advice.truth == ("positive_cable",)
    assert any(reason.measurement == "positive_leg_drop" for reason in told.reasons)


def test_another_fault_of_the_same_repair_is_right_too_and_any_other_is_not() -> None:
    assert practice_on("battery_worn").name("battery_dead_cell").right
    assert not practice_on("battery_worn").name("positive_cable").right


def test_what_is_not_there_is_refused_and_costs_nothing() -> None:
    practice = practice_on("start_fuse")
    with pytest.raises(UnknownName):
        practice.ask("no_such_reading")
    with pytest.raises(CaseError):
        practice.ask("disconnect_drop")
    assert practice.minutes == 0
