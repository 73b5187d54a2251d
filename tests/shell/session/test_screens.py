"""Screens word for word, on an invented circuit."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session.questions import AskCranks, AskSafe
from crankpath.shell.session.screens.asking import asking, complaint
from crankpath.shell.session.screens.fitting import ALWAYS, ScreenPart, fitted
from crankpath.shell.session.screens.leads import leads
from crankpath.shell.session.screens.listing import entry_list
from crankpath.shell.session.screens.procedure import command_words, procedure, readiness
from crankpath.shell.session.screens.ranking import changed, taken_as
from crankpath.shell.session.screens.repairing import repair_parts
from crankpath.shell.session.state import CaseState

Sit = Callable[..., Any]
OPENING = ("it only hums", "slow", "every time", "")


def empty(kb: Knowledge) -> CaseState:
    return CaseState("", kb, Case(kb, {}))


def test_the_first_question_wide_and_narrow() -> None:
    assert complaint(79) == [
        ">> What does the operator say it does?",
        "   In the operator's words; Enter if nobody knows.",
    ]
    assert complaint(39) == [
        ">> What does the operator say it does?",
        "   In the operator's words; Enter if",
        "   nobody knows.",
    ]


def test_the_values_of_an_observation_are_numbered(small: Knowledge, sit: Sit) -> None:
    assert sit(small).type("it only hums") == [
        "",
        ">> What does it do with the key in start?",
        "   1 normal",
        "   2 slow",
        "   3 silent",
    ]


def test_the_machine_is_asked_with_what_is_taken(small: Knowledge, sit: Sit) -> None:
    assert sit(small).type("it only hums", "slow", "every time") == [
        "",
        ">> Which machine?",
        "   So far: 12 V.",
        "   Enter if that is right, or a name, or what differs: loader 7: 24 V. ? lists",
        "   what can be told.",
    ]


def test_it_is_made_safe_before_the_first_reading(small: Knowledge) -> None:
    asked = AskSafe("positive_leg_drop", ("gas", "chocks", "clear"), ("uncovered",))
    assert asking(empty(small), asked, 79) == [
        ">> Positive leg drop: make ready and safe first",
        "   [ ] batteries uncovered, 3 min",
        "! Battery gas: no sparks.",
        "! Neutral, brake, chocks.",
        "! Everybody clear.",
        "   Enter when that is so. ? tells how.",
    ]


def test_on_a_small_terminal_what_is_to_be_minded_comes_in_parts(small: Knowledge) -> None:
    asked = AskSafe("positive_leg_drop", ("gas", "chocks"), ("uncovered",), 1)
    assert asking(empty(small), asked, 39) == [
        ">> Positive leg drop: watch out for",
        "! Battery gas: no sparks.",
        "! Neutral, brake, chocks.",
        "   Enter when read, 1 more follow. ?",
        "   tells more.",
    ]


def test_the_leads_are_drawn_with_what_lies_between(small: Knowledge) -> None:
    case = Case(small, {})
    assert leads(case, small.measurements["positive_leg_drop"], 39) == [
        " red> o  positive post",
        "      #  positive cable",
        " blk> o  starter stud",
    ]
    assert leads(case, small.measurements["battery_crank_voltage"], 79) == [
        " red> o  positive post",
        "      #  battery",
        " blk> o  negative post",
    ]
    assert leads(case, small.measurements["occurrence"], 79) == []


def test_a_reading_is_told_against_its_limit(small: Knowledge) -> None:
    case = Case(small, {})
    assert taken_as(case, case.record("positive_leg_drop", "820 mV")) == (
        "positive leg drop 820 mV: OUTSIDE its limit (at most 0.4 V)."
    )
    close = case.record("negative_leg_drop", "0.39")
    assert taken_as(case, close) == (
        "negative leg drop 0.39: inside its limit (at most 0.4 V), but close to it."
    )
    away = case.record("battery_crank_voltage", "11.1 V", symptom=False)
    assert taken_as(case, away) == (
        "battery while cranking 11.1 V: inside its limit (at least 9.6 V). "
        "Taken while it cranked well: that rules out little."
    )


def test_the_cranks_still_needed_are_given_their_reason(small: Knowledge) -> None:
    case = Case(small, {})
    case.record("crank_behaviour", "slow")
    case.tries(2, 10)
    case.repaired("replace_hot_cable")
    case.tries(0, 4)
    state = CaseState("", small, case)
    proof = case.crank_proof()
    assert proof is not None
    lines = asking(state, AskCranks("any", 4, proof), 79)
    assert lines[0] == f">> Keep trying: 4 good in a row, {proof.cranks - 4} more to go"
    assert lines[1].startswith("   Before the repair 2 of 10 tries failed. After")
    assert f"if it used to fail at {100 * proof.rate:.0f} % of tries or more" in " ".join(
        line.strip() for line in lines
    )
    assert lines[-2:] == [
        "   Type how many were good (5), or failed. Try it hot, wet, shaken: as it used",
        "   to fail.",
    ]


def test_the_procedure_of_a_reading(small: Knowledge) -> None:
    assert procedure(empty(small), "positive_leg_drop", 79) == [
        "== positive leg drop",
        "   What is lost on the way to the starter?",
        "   First: batteries uncovered (3 min)",
        "   Leads: One clip on the positive post, one on the starter stud.",
        "   Meter: Volts DC.",
        "  1. Crank 3 s, read while it turns.",
        "   Limit: at most 0.4 V",
        "   Misleads: No current, no drop.",
        "   Source: shop",
        "! Neutral, brake, chocks.",
        "! Everybody clear.",
        "! Battery gas: no sparks.",
    ]


def test_how_a_set_up_is_made_and_what_to_mind(small: Knowledge) -> None:
    assert readiness(Case(small, {}), ("uncovered",), ("gas",), 79) == [
        "== batteries uncovered",
        " - cover off: Lift it.",
        "   suits All.",
        "   ! Acid on it.",
        "! Batteries give off gas; no sparks.",
    ]


def test_the_words_fit_both_widths() -> None:
    shown = [("back [N]", "take back the last entry, or entry N")]
    assert command_words("cranked well", shown, 79)[-1] == "   back [N]  take back the last entry, or entry N"
    narrow = command_words("cranked well", shown, 39)
    assert narrow[-2:] == ["   back [N]: take back the last entry,", "     or entry N"]


def test_entries_are_numbered_as_back_takes_them(small: Knowledge, sit: Sit) -> None:
    sitting = sit(small)
    sitting.type(*OPENING, "pos leg 820 mV", "can't neg leg", "note rained all night", "failed 2 of 10")
    assert entry_list(sitting.state, 79) == [
        '   1  complaint: "it only hums"',
        "   2  what it does in start: slow",
        "   3  every time or sometimes: every time",
        "   4  machine: nothing more",
        "   5  positive leg drop: 820 mV",
        "   6  negative leg drop: cannot be taken",
        "   7  note: rained all night",
        "   8  failed 2 of 10 tries",
    ]


def test_the_least_important_part_is_shortened_then_left_out() -> None:
    parts = [ScreenPart(("1", "2", "3"), 10, ("1",)), ScreenPart(("4", "5"), 20), ScreenPart(("6",), ALWAYS)]
    assert fitted(parts, 0) == ["1", "2", "3", "4", "5", "6"]
    assert fitted(parts, 4) == ["1", "4", "5", "6"]
    assert fitted(parts, 3) == ["4", "5", "6"]
    assert fitted(parts, 1) == ["6"]


@pytest.mark.parametrize(
    ("answer", "told"),
    [("y", {"when_hot": True}), ("", {}), ("no", {}), ("cold", {"when_cold": True})],
)
def test_when_it_is_worst_is_taken_from_the_operators_words(
    shipped: Knowledge, sit: Sit, answer: str, told: dict[str, bool]
) -> None:
    sitting = sit(shipped)
    asked = sitting.type("only 2 clicks when hot", "silent", "intermittent", "")
    assert asked[-2:] == [
        '   "only 2 clicks when hot" sounds like: worse with a hot engine. y takes it;',
        "   name others; Enter if not known.",
    ]
    sitting.type(answer)
    assert {k: v for k, v in sitting.state.told.items() if isinstance(v, bool)} == told


def test_words_without_a_season_leave_when_it_is_worst_open(shipped: Knowledge, sit: Sit) -> None:
    sitting = sit(shipped)
    asked = sitting.type("1 click, then 3 more", "silent", "intermittent", "")
    assert asked[-1] == "   One or more; Enter if that is not known."
    sitting.type("")
    assert sitting.state.told == {}


def test_the_posts_of_a_dead_control_side_may_sag_a_little(shipped: Knowledge) -> None:
    case = Case(shipped, {"system_voltage": 12})
    case.record("crank_behaviour", "silent")
    at_rest = ": inside its limit (at least 9.6 V)."
    assert taken_as(case, case.record("battery_crank_voltage", "12.5 V")).endswith(at_rest)
    assert taken_as(case, case.record("battery_crank_voltage", "11.2 V")).endswith(at_rest)


@pytest.mark.parametrize(
    ("measurement", "typed", "told"),
    [
        ("battery_rest_voltage", "12.9 V", ": inside its limit (at least 12.4 V)."),
        ("battery_rest_voltage", "11.2 V", ": OUTSIDE its limit (at least 12.4 V)."),
        ("positive_leg_drop", "0 V", "no current flowed; this proves nothing."),
        ("charging_voltage", "16.4 V", ": OUTSIDE its limit (13 V to 15.5 V)."),
    ],
)
def test_better_than_usual_is_inside_and_nothing_lost_is_neither(
    shipped: Knowledge, measurement: str, typed: str, told: str
) -> None:
    case = Case(shipped, {"system_voltage": 12, "duty": "heavy"})
    assert taken_as(case, case.record(measurement, typed)).endswith(told)


def test_what_the_circuits_arithmetic_says_stands_with_the_reading_that_decides_it() -> None:
    cables = {run: {"gauge": "70 mm2", "length": "2 m"} for run in ("positive", "negative")}
    machine = {"system_voltage": 24, "cca": 800, "air_temperature": 20, "cables": cables}
    before = Case(shipped_knowledge(), machine)
    for name, value in (
        ("crank_behaviour", "slow"), ("occurrence", "every_time"), ("crank_current", "500"),
        ("battery_rest_voltage", "25.4"), ("battery_crank_voltage", "20.1"), ("negative_post_drop", "2.8"),
    ):  # fmt: skip
        before.record(name, value)
    after = before.what_if("negative_leg_drop", "3.1")
    said = " ".join(line.strip() for line in fitted(changed(before, after, after.entries[-1:], 79), 0))
    # 0.272 ohm/km of 70 mm2 by 2 m by 500 A; (3.1 - 0.272) V by 500 A
    assert "leg drop 3.1 V at 500 A: 0.272 V as built, 2.83 V more at joints or in damage (1414 W" in said
    assert "Inside the battery" not in said  # said with the reading before
    state = CaseState("", after.kb, after)
    repair = " ".join(fitted(repair_parts(state, "clean_negative_post", 79), 0))
    assert "The repair gives back at least 2.8 V" in repair
