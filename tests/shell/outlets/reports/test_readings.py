"""Ranges in words."""

from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.inference.expected import Expected
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import Knowledge, Range
from crankpath.shell.outlets.reports.readings import (
    circuit_sentences,
    range_parts,
    range_words,
    span_words,
    written_words,
)


@pytest.mark.parametrize(
    ("low", "high", "unit", "words"),
    [
        (0.4, 3.0, "V", "0.4 to 3 V"),
        (0.005, 0.08, "V", "5 to 80 mV"),
        (0.05, 0.2, "V", "50 mV to 0.2 V"),
        (0.0, 0.1, "V", "up to 0.1 V"),
        (11.9, 12.8, "V", "11.9 to 12.8 V"),
        (250.0, 1400.0, "A", "250 to 1400 A"),
        (100.0, 1e9, "ohm", "above 100 ohm"),
        (0.4, 0.4, "ohm", "about 0.4 ohm"),
    ],
)
def test_a_range_is_said_in_the_unit_that_a_meter_shows(
    low: float, high: float, unit: str, words: str
) -> None:
    assert span_words(low, high, unit) == words


def test_what_is_read_most_often_comes_first_and_what_hardly_ever_happens_is_left_out() -> None:
    said = Expected(0.4, 1.0, 3.0, nothing=0.65, whole=0.3, sound=0.001)
    assert [text for text, _ in range_parts(said, "V")] == ["nothing", "the whole supply", "0.4 to 3 V"]
    assert range_words(Expected(None, None, None, nothing=1.0), "V") == "nothing"
    assert range_words(Expected(None, None, None, whole=1.0), "ohm") == "an open circuit"


def test_a_fault_that_changes_nothing_reads_as_a_sound_circuit() -> None:
    assert range_words(Expected(0.05, 0.1, 0.2, sound=1.0), "V") == "50 mV to 0.2 V, as a sound circuit"


def test_a_range_is_written_with_its_formulas_as_they_stand() -> None:
    ends = (0.4, Formula.parse("0.1 * system_voltage"))
    assert written_words(Range(ends, nothing=0.1), "V") == (
        "0.4 to 0.1 * system_voltage V, nine in ten; nothing 10 %"
    )


def test_a_leg_is_told_as_cable_and_joints_with_what_the_repair_gives_back(kb: Knowledge) -> None:
    # 2/0 AWG has 0.2557 mohm/m at 20 degC (ASTM B258 geometry, IACS copper): 3 m at 400 A drop 0.31 V.
    case = Case(kb, {"cables": {"positive": {"gauge": "2/0 AWG", "length": "3 m"}}})
    for measurement, value in (
        ("crank_behaviour", "slow"), ("positive_leg_drop", "1.2 V"), ("crank_current", "400 A"),
        ("positive_post_drop", "0.9 V"), ("positive_post_drop", "0.9 V"),
    ):  # fmt: skip
        case.record(measurement, value)
    leg, gain = circuit_sentences(case)
    assert leg == (
        "Positive leg drop 1.2 V at 400 A: 0.307 V as built, 0.893 V more at joints or in "
        "damage (357 W of heat)."
    )
    assert gain == "The repair gives back at least 0.9 V at this current."


def test_without_a_current_the_arithmetic_says_nothing(kb: Knowledge) -> None:
    case = Case(kb)
    case.record("positive_leg_drop", "1.2 V")
    assert list(circuit_sentences(case)) == []
