"""What a line does to a case: driven in this process, on an invented circuit."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from crankpath.engine.inference.entries import CannotTake, Reading, Repaired, Tries
from crankpath.engine.knowledge.records import Knowledge

Sit = Callable[..., Any]
OPENING = ("it only hums", "slow", "every time", "")
SOMETIMES = ("it only hums", "slow", "intermittent", "")


@pytest.fixture
def taken(small: Knowledge, sit: Sit) -> Any:
    """A case that is taken, at its first reading."""
    sitting = sit(small)
    sitting.type(*OPENING)
    return sitting


@pytest.fixture
def hiding(small: Knowledge, sit: Sit) -> Any:
    """The same of a fault that comes and goes."""
    sitting = sit(small)
    sitting.type(*SOMETIMES)
    return sitting


def test_every_entry_is_in_the_store_when_the_line_is_taken(taken: Any) -> None:
    taken.type("pos leg 820 mV")
    stored = taken.store.events(taken.state.id)
    assert stored[-1].kind == "reading"
    assert stored[-1].body["text"] == "820 mV"


def test_a_machine_is_remembered_after_many_whose_names_begin_alike(small: Knowledge, sit: Sit) -> None:
    sitting = sit(small)
    sitting.type(*OPENING[:3], "loader 1: 24 V", "")
    sitting.store.append(sitting.state.id, "closed", {"causes": []}, at="2031-05-04T09:00:00Z")
    for number in range(60):
        sitting.store.create_case("x", at="2031-05-04T10:00:00Z", machine=f"Loader 1{number}")
    again = sit(small)
    again.type(*OPENING[:3])
    assert "-- Loader 1: as entered before." in again.type("Loader 1")
    assert again.state.told["system_voltage"] == 24


def test_facts_of_the_machine_are_taken_wherever_told(small: Knowledge, sit: Sit) -> None:
    sitting = sit(small)
    lines = sitting.type("it only hums", "24 V")
    assert "-- Of the machine: 24 V." in lines
    assert sitting.state.told["system_voltage"] == 24
    assert not [entry for entry in sitting.state.case.entries if isinstance(entry, Reading)]


def test_the_state_is_the_same_from_the_events_alone(taken: Any, small: Knowledge, sit: Sit) -> None:
    taken.type("", "pos leg 820 mV, neg leg 30 mV", "failed 2 of 10", "can't crank volts", "back 5")
    other = sit(small)
    other.open_case.open(taken.state.id)
    assert other.state.case.entries == taken.state.case.entries
    assert other.state.cautions == taken.state.cautions
    assert other.state.case.causes() == taken.state.case.causes()


def test_several_readings_stand_on_one_line(taken: Any) -> None:
    taken.type("pos leg 820 mV, neg leg 30 mV, crank volts 9.7")
    readings = [(e.measurement, e.value) for e in taken.state.case.entries[-3:]]
    assert readings == [
        ("positive_leg_drop", 0.82), ("negative_leg_drop", 0.03), ("battery_crank_voltage", 9.7),
    ]  # fmt: skip


def test_a_reading_is_chosen_by_its_name(taken: Any) -> None:
    taken.type("pos leg", "")
    assert taken.prompt == "pos leg> "
    taken.type("0.1")
    assert taken.state.case.entries[-1].measurement == "positive_leg_drop"


def test_a_doubtful_reading_is_asked_back_and_only_yes_takes_what_was_meant(taken: Any) -> None:
    taken.type("pos leg", "")
    before = taken.state.case.entries
    shown = taken.type("310")
    assert shown == [
        "? 310 V is not possible for positive leg drop: was it 310 mV?",
        "   y takes pos leg 310 mV; or type it again.",
    ]
    taken.type("")
    assert taken.state.case.entries == before
    taken.type("310", "y")
    assert taken.state.case.entries[-1].value == 0.31


@pytest.mark.parametrize("line", ["crad 3", "relpy 0.3", "shwo 5"])
def test_a_misspelt_word_of_the_session_is_no_figure(taken: Any, line: str) -> None:
    taken.type("pos leg", "")
    before = taken.state.case.entries
    assert taken.type(line)[0].startswith("? ")
    assert taken.state.case.entries == before


def test_a_doubtful_reading_can_be_typed_again(taken: Any) -> None:
    taken.type("pos leg", "", "310", "0.29")
    assert taken.state.case.entries[-1].value == 0.29


def test_back_makes_an_entry_as_if_it_had_never_been(taken: Any) -> None:
    causes, entries = taken.state.case.causes(), taken.state.case.entries
    taken.type("pos leg 820 mV")
    assert taken.state.case.causes() != causes
    shown = taken.type("back")
    assert "-- taken back: positive leg drop: 820 mV" in shown
    assert (taken.state.case.causes(), taken.state.case.entries) == (causes, entries)


def test_any_entry_can_be_taken_back(taken: Any) -> None:
    taken.type("pos leg 820 mV", "neg leg 30 mV", "back 5")
    readings = [e.measurement for e in taken.state.case.entries if isinstance(e, Reading)]
    assert readings[-1] == "negative_leg_drop"
    assert "positive_leg_drop" not in [e.measurement for e in taken.state.case.entries]


def test_what_if_writes_nothing(taken: Any) -> None:
    taken.type("")
    stored = taken.store.events(taken.state.id)
    shown = taken.type("if pos leg 820 mV")
    assert shown[0].startswith("-- If so (nothing is recorded): Likelier: bad positive cable")
    assert taken.store.events(taken.state.id) == stored


def test_cannot_and_skip_ask_for_something_else(taken: Any) -> None:
    taken.type("")
    first = taken.prompt
    taken.type("skip")
    assert taken.prompt != first
    taken.type("can't pos leg")
    assert CannotTake("positive_leg_drop") in taken.state.case.entries


def test_a_safety_stop_is_passed_by_enter_alone(taken: Any) -> None:
    assert taken.prompt == "ready> "
    for line in ("0.3 V", "pos leg 0.3 V", "neg leg", "ok", "done", "y", "blue smoke"):
        taken.talk.take(line)
        assert taken.prompt == "ready> "
    assert taken.state.cautions == frozenset()
    assert taken.state.case.entries[-1].measurement == "occurrence"
    taken.talk.take("")
    assert taken.prompt != "ready> "
    assert taken.state.cautions == {"gas"}
    assert {"! Neutral, brake, chocks.", "! Everybody clear."} <= set(taken.sheet.lines)


def test_what_cranking_asks_for_is_shown_again_for_the_next_act(taken: Any) -> None:
    taken.type("")
    first = taken.prompt
    taken.type("0.1 V")
    assert taken.state.case.verdict().measurement == "negative_leg_drop"  # cranked once more
    assert (first, taken.prompt) == ("neg leg> ", "neg leg> ")
    assert taken.talk.asked.cautions == ("chocks", "clear")  # few enough to stand with the reading


def test_of_a_fault_that_hides_it_is_asked_whether_it_failed_just_then(hiding: Any) -> None:
    hiding.type("", "pos leg 30 mV")
    assert hiding.prompt == "failing? y/n> "
    hiding.type("n")
    last = hiding.state.case.entries[-1]
    assert (last.measurement, last.symptom) == ("positive_leg_drop", False)


def test_whether_it_failed_can_be_told_with_the_reading(hiding: Any) -> None:
    hiding.type("", "pos leg 30 mV, away", "neg leg 40 mV failed")
    assert [(e.measurement, e.symptom) for e in hiding.state.case.entries[-2:]] == [
        ("positive_leg_drop", False), ("negative_leg_drop", True),
    ]  # fmt: skip


def test_a_reading_waits_for_that_answer_over_a_restart(hiding: Any, small: Knowledge, sit: Sit) -> None:
    hiding.type("", "pos leg 30 mV")
    other = sit(small)
    other.open_case.open(hiding.state.id)
    other.talk.show_question()
    assert other.sheet.lines[0] == ">> Did it fail during this reading: pos leg 30 mV?"


def test_tries_are_counted(hiding: Any) -> None:
    hiding.type("failed 2 of 10")
    assert hiding.state.case.entries[-1] == Tries(2, 10)
    assert hiding.type("failed 3 of 2") == [
        "? Write how many failed of how many: failed 2 of 10, or failed 2 or 3 of 10."
    ]


def test_a_range_of_failures_counts_by_its_low_end(hiding: Any) -> None:
    said = hiding.type("failed 2-3 of 10")
    assert "-- Told as 2 to 3 of 10: the low end, 2 of 10, counts." in said
    assert hiding.state.case.entries[-1] == Tries(2, 10)


def proven(sitting: Any) -> str:
    """Take readings until a repair is named, pass its stop, and return it."""
    sitting.type("pos leg 820 mV failed", "neg leg 20 mV failed")
    assert sitting.prompt == "ready> "
    sitting.type("")
    assert sitting.prompt == "repair> "
    return str(sitting.talk.asked.repair)


def test_a_repair_is_proven_by_its_reading_and_the_case_closed(taken: Any) -> None:
    repair = proven(taken)
    taken.type("done")
    assert taken.state.repair_pending == Repaired(repair, None)
    taken.type("")
    assert taken.prompt == "pos leg> "
    taken.type("20 mV", "y")
    assert Repaired(repair, True) in taken.state.case.entries
    taken.type("")
    assert taken.state.closed
    assert taken.state.causes
    assert taken.store.case(taken.state.id).state == "closed"


def test_not_cured_goes_on_with_what_is_known(taken: Any) -> None:
    repair = proven(taken)
    taken.type("done", "20 mV", "n")
    assert Repaired(repair, False) in taken.state.case.entries
    assert taken.prompt not in ("repair> ", "cured? y/n> ")


def test_a_hiding_fault_needs_good_cranks_and_they_are_counted(hiding: Any) -> None:
    hiding.type("failed 2 of 10")
    proven(hiding)
    hiding.type("done", "20 mV", "n")
    assert hiding.prompt == "tries> "
    needed = hiding.talk.asked.needed.cranks
    assert hiding.talk.asked.good == 0  # a reading is no try
    hiding.type("3")
    assert hiding.talk.asked.good == 3
    hiding.type(str(needed))
    assert hiding.prompt == "cured? y/n> "


def test_a_failure_during_the_proof_means_not_cured(hiding: Any) -> None:
    hiding.type("failed 2 of 10")
    repair = proven(hiding)
    hiding.type("done", "20 mV", "n", "failed")
    assert Repaired(repair, False) in hiding.state.case.entries


def test_a_machine_told_once_is_known_by_its_name(taken: Any) -> None:
    taken.type("machine loader 7: 24 V", "new", "dead", "silent", "every time")
    shown = taken.type("loader 7")
    assert "-- loader 7: as entered before." in shown
    assert taken.state.case.equipment["system_voltage"] == 24


def test_several_cases_side_by_side(taken: Any) -> None:
    first = taken.state.id
    taken.type("pos leg 820 mV", "new", "stone dead")
    assert taken.state.id != first
    taken.type("cases it only hums")
    assert taken.state.id == first
    assert taken.state.case.entries[-1].value == 0.82


def test_two_shells_on_one_case_see_each_others_entries(taken: Any, small: Knowledge, sit: Sit) -> None:
    other = sit(small)
    other.open_case.open(taken.state.id)
    taken.type("pos leg 820 mV")
    shown = other.type("neg leg 30 mV")
    assert "-- Another shell: positive leg drop: 820 mV" in shown
    taken.type("note seen")
    assert taken.state.case.entries == other.state.case.entries


def test_export_and_import_give_the_same_case(taken: Any, tmp_path: Path) -> None:
    taken.type("pos leg 820 mV", "can't neg leg", "note rained", "failed 2 of 10")
    entries = taken.state.case.entries
    taken.type(f"export {tmp_path / 'a.yaml'}")
    first = taken.state.id
    taken.type(f"import {tmp_path / 'a.yaml'}")
    assert taken.state.id != first
    assert taken.state.case.entries == entries


def test_a_file_with_a_slip_is_refused_whole(
    taken: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # a short path stands in one line
    Path("b.yaml").write_text("entries:\n- {reading: no_such, value: 1}\n", "utf-8")
    before = taken.state.id
    shown = taken.type("import b.yaml")
    assert any("b.yaml:2" in line for line in shown)
    assert taken.state.id == before


def test_what_is_not_understood_is_said_and_nothing_written(taken: Any) -> None:
    taken.type("")
    stored = taken.store.events(taken.state.id)
    assert taken.type("blue smoke")[0].startswith("? Not understood: blue smoke.")
    assert taken.store.events(taken.state.id) == stored


@pytest.mark.parametrize(
    "line", ["\x1b[2J", "\x00", "é" * 6000, "🔧" * 50, "1e999", "0" * 5000, "if", "back x"]
)
def test_nothing_typed_ends_the_sitting(taken: Any, line: str) -> None:
    assert taken.talk.take(line)
    assert all("\x1b" not in shown for shown in taken.sheet.lines)


def test_a_first_line_that_names_the_machine_is_taken_at_once(shipped: Knowledge, sit: Sit) -> None:
    sitting = sit(shipped)
    sitting.type("truck 5: 24 V, turns over slow, every time")
    case = sitting.state.case
    assert (sitting.state.machine, case.equipment["system_voltage"]) == ("truck 5", 24)
    assert sitting.state.complaint == "turns over slow, every time"
    read = [(e.measurement, e.value) for e in case.entries]
    assert read == [("crank_behaviour", "slow"), ("occurrence", "every_time")]
    assert sitting.prompt == "when> "


def test_a_complaint_with_a_colon_stays_whole(shipped: Knowledge, sit: Sit) -> None:
    sitting = sit(shipped)
    sitting.type("the driver says: it only clicks, over bumps")
    assert sitting.state.complaint == "the driver says: it only clicks, over bumps"
