from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.messages import in_basic_letters, whole_message


def test_the_whole_procedure_of_a_reading(small_case: Callable[..., Case]) -> None:
    assert whole_message(small_case(crank_behaviour="slow"), "positive_leg_drop").splitlines() == [
        "READING: positive leg drop (V). What is lost on the way to the starter?",
        "SAFETY: Neutral, brake on, wheels chocked.",
        "SAFETY: Everybody stands clear of the machine.",
        "SAFETY: Batteries give off gas; no sparks.",
        "READY: batteries uncovered (3 min).",
        "- cover off: Lift it. Suits: All. Danger: Acid on it.",
        "TOOLS: multimeter.",
        "MACHINE: cranking, fuel off.",
        "METER: Volts DC.",
        "LEADS: One clip on the positive post, one on the starter stud.",
        "RED LEAD: positive post. On the lead of the post.",
        "BLACK LEAD: starter stud. On the thread.",
        "1. Crank 3 s, read while it turns.",
        "LIMIT: at most 0.4 V. Half a volt a leg at most. Source: common practice, no source.",
        "EXPECT, if it is bad positive cable: 0.4 to 3 V.",
        "EXPECT, if it is bad ground cable: 50 mV to 0.2 V, as a sound circuit.",
        "BEWARE: No current, no drop.",
        "REPLY e.g. pos leg 0.3 V. Not possible: pos leg n/a.",
    ]


def test_several_readings_are_told_each_with_how_it_is_taken(small_case: Callable[..., Case]) -> None:
    case = small_case(crank_behaviour="slow")
    lines = whole_message(case, "positive_leg_drop", "negative_leg_drop").splitlines()
    assert lines[0] == "2 READINGS: 1) positive leg drop; 2) negative leg drop."
    assert lines[-1] == "REPLY e.g. 1 0.3 V, 2 0.3 V. Not possible: 2 n/a."
    assert sum(line.startswith("LEADS: ") for line in lines) == 2
    assert len([line for line in lines if line.startswith("SAFETY: ")]) == len(
        {line for line in lines if line.startswith("SAFETY: ")}
    )


def test_the_whole_procedure_of_a_repair_has_its_steps_and_cautions_in_full(proven: Case) -> None:
    assert whole_message(proven).splitlines() == [
        "REPAIR: replace the positive cable (30 min).",
        "CAUSE: bad positive cable. It drops too much.",
        "SAFETY: Take the ground cable off first.",
        "SAFETY: Batteries give off gas; no sparks.",
        "1. Cable off.",
        "2. New one on.",
        "PROOF AFTER IT: positive leg drop, at most 0.4 V.",
        "REPLY: done, or what is in the way.",
    ]


def test_the_whole_proof_ends_with_the_cranks(proven: Case) -> None:
    proven.repaired("replace_hot_cable")
    lines = whole_message(proven).splitlines()
    assert lines[0] == "PROOF of the repair: replace the positive cable."
    assert lines[-1] == "THEN: one more try. Reply: cured, or not cured."


def test_there_is_nothing_to_tell_once_it_is_cured(proven: Case) -> None:
    proven.repaired("replace_hot_cable", cured=True)
    with pytest.raises(CaseError, match="nothing more to do"):
        whole_message(proven)


def test_every_reading_tells_every_caution_in_full(every_part: Case, shipped: Knowledge) -> None:
    for m in every_part.assessment.model.measurements.values():
        lines = set(whole_message(every_part, m.id).splitlines())
        for name in (*m.cautions, *shipped.states[m.state].cautions):
            assert f"SAFETY: {in_basic_letters(shipped.cautions[name].text)}" in lines, m.id
        for step in m.steps:
            assert any(line.endswith(in_basic_letters(step)) for line in lines), m.id
