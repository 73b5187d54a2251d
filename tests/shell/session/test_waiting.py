"""A machine that cranks well now: what stays connected, and a whole failure typed at once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.exchange import promises
from crankpath.shell.session.questions import AskFailing, AskReading, AskSafe

from .conftest import Sitting

Sit = Callable[..., Any]
OPENING = ("sometimes it cranks slow", "slow", "intermittent", "24 V", "")


@pytest.fixture(scope="module")
def typed(shipped: Knowledge, tmp_path_factory: pytest.TempPathFactory) -> tuple[dict[str, Any], AskReading]:
    """A case whose next act is to wait, as it is exported, and what was asked last; typed once."""
    sitting = Sitting(shipped, tmp_path_factory.mktemp("typed") / "cases.sqlite", 79, 0)
    sitting.type(*OPENING, "rest 25.4", "wiggle no change", "n", "pos leg 0.15 V cranked well")
    for _ in range(8):
        if isinstance(sitting.talk.asked, AskSafe):
            sitting.talk.take("")
        if isinstance(sitting.talk.asked, AskReading) and sitting.talk.asked.purpose == "watch":
            whole = sitting.store.export_case(sitting.state.id)
            sitting.store.close()
            return whole, sitting.talk.asked
        sitting.type("can't")
    raise AssertionError(sitting.talk.asked)


@pytest.fixture
def waiting(typed: tuple[dict[str, Any], AskReading], shipped: Knowledge, sit: Sit) -> Any:
    """That case, opened again in a sitting of the test's own."""
    sitting = sit(shipped)
    sitting.open_case.open(sitting.store.import_case(typed[0]).case_id)
    sitting.talk.show_question()
    return sitting


def test_the_question_names_all_that_stays_connected_and_its_cautions(waiting: Any) -> None:
    seen = {act for act, caution in waiting.state.passed if caution == "leads_tied_down"}
    assert seen == {waiting.talk.asked.measurement}
    waiting.sheet.lines.clear()
    waiting.talk.show_question()
    shown = " ".join(" ".join(waiting.sheet.lines).split())
    assert "Wait for the next failure with these left connected" in shown
    for name in waiting.talk.asked.together:
        assert waiting.state.kb.measurements[name].label in shown


def test_a_failure_typed_in_one_line_is_one_crank_with_the_fault_there(waiting: Any) -> None:
    waiting.type("it failed: pos leg 2.3 V, neg leg .1 V, lights dim")
    taken = [e for e in waiting.state.case.entries if isinstance(e, Reading) and e.crank is not None]
    assert [e.text for e in taken] == ["2.3 V", ".1 V", "dim"]
    assert {e.crank for e in taken} == {1}
    assert all(e.symptom for e in taken)


def test_readings_of_one_crank_are_asked_about_once(waiting: Any) -> None:
    said = waiting.type("pos leg 0.2 V, neg leg .1 V")
    assert isinstance(waiting.talk.asked, AskFailing)
    assert ">> Did it fail during this reading: pos leg 0.2 V, neg leg .1 V?" in said
    waiting.type("n")
    assert not isinstance(waiting.talk.asked, AskFailing)
    taken = [e for e in waiting.state.case.entries if isinstance(e, Reading) and e.crank is not None]
    assert {e.crank for e in taken} == {1}
    assert not any(e.symptom for e in taken)


def test_two_failures_are_two_cranks(waiting: Any) -> None:
    waiting.type("it failed: pos leg .3 V, neg leg .1 V", "it failed: pos leg .35 V, neg leg .12 V")
    cranks = [e.crank for e in waiting.state.case.entries if isinstance(e, Reading) and e.crank is not None]
    assert cranks == [1, 1, 2, 2]


def test_what_is_asked_back_of_a_failure_is_of_its_crank(waiting: Any) -> None:
    waiting.type("it failed: pos leg 2.3, s term 11", "y")
    taken = [e for e in waiting.state.case.entries if isinstance(e, Reading) and e.crank is not None]
    assert [(e.measurement, e.crank) for e in taken] == [
        ("positive_leg_drop", 1), ("start_terminal_voltage", 1),
    ]  # fmt: skip


def test_it_still_waits_when_the_case_is_opened_again(
    waiting: Any, typed: tuple[dict[str, Any], AskReading]
) -> None:
    assert waiting.talk.asked == typed[1]


def test_the_word_watch_shows_the_card_in_parts_or_writes_it(waiting: Any, tmp_path: Path) -> None:
    said = waiting.type("watch 1")
    assert "When it fails" in said
    assert "What it will point to" not in said
    assert "What it will point to" in waiting.type("watch means")
    assert waiting.type("watch 1 bring on")[0].startswith("To bring it on")
    page = tmp_path / "cab.html"
    assert waiting.type(f"watch 2 {page}")[0].startswith("-- The card for the cab is written to")
    assert "Meters left on" in page.read_text("utf-8")
    refused = " ".join(line.strip() for line in waiting.type(f"watch {page}"))
    assert "exists already; name another file" in refused
    assert waiting.type("watch 7")[0].startswith("? Write watch 2")


def test_what_is_seen_first_says_the_cautions_first(shipped: Knowledge, sit: Sit) -> None:
    sitting = sit(shipped)
    sitting.type(*OPENING)
    assert any(line.startswith("! ") for line in sitting.type("watch"))


def flowing(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


def test_a_machine_that_has_not_failed_here_is_looked_at_again_on_a_day(waiting: Any) -> None:
    said = flowing(waiting.type("watch until 2031-06-01 call Dana, extension 12"))
    assert said.startswith("-- Noted: it has not failed here. Stays connected: A ")
    note, promised = waiting.state.events[-2:]
    assert (note.kind, promised.kind) == ("note", "promised")
    assert "Stays connected: A " in str(note.body["text"])
    assert promised.body["text"] == "look again 2031-06-01 at what stays connected"
    assert promised.body["call"] == "Dana, extension 12"
    assert waiting.talk.asked.purpose == "watch"
    (summary,) = waiting.store.cases(open_only=True)
    assert "look again 2031-06-01" in summary.waits_for
    assert summary.due


def test_what_stays_connected_is_asked_for_until_it_fails(waiting: Any, tmp_path: Path) -> None:
    """Three meters, though two are advised; good tries meanwhile ask for nothing to be made ready again."""
    waiting.type("watch 3 until 2031-06-01 call Dana")
    if isinstance(waiting.talk.asked, AskSafe):
        waiting.talk.take("")
    left_on = waiting.talk.asked.together
    assert len([name for name in left_on if waiting.state.kb.measurements[name].numeric]) == 3
    said = flowing(waiting.type("good 12"))
    assert "Connected since 2031-05-04; look again 2031-06-01. Call Dana when it fails." in said
    assert waiting.talk.asked.together == left_on
    sent = flowing(waiting.type("send"))
    for word in ("C: ", "Call Dana, as soon as it has failed", "Look again on 2031-06-01"):
        assert word in sent
    waiting.type(f"send card {tmp_path / 'cab.html'}")
    page = (tmp_path / "cab.html").read_text("utf-8")
    assert "Look again on 2031-06-01" in page
    assert [path.name for path in tmp_path.iterdir()].count("cab-2.html") == 0
    waiting.type("it failed: pos leg 2.3 V, neg leg .1 V")
    assert "Connected since" not in flowing(waiting.sheet.lines)


@pytest.mark.parametrize("said", ["", "it has not failed here in 3 days", "It hasn't failed"])
def test_a_wait_without_a_failure_is_told_what_to_type(waiting: Any, said: str) -> None:
    before = waiting.state.events
    assert "watch until 2031-05-04 says that it has not failed here" in flowing(waiting.type(said))
    assert waiting.state.events == before


def test_failures_read_and_good_tries_are_counted_apart(waiting: Any) -> None:
    waiting.type("good 4")
    said = flowing(waiting.type("it failed: pos leg .3 V, neg leg .1 V", ""))
    assert "So far: 4 good cranks, 1 failure read." in said


def test_a_failure_ends_the_promise_to_look_again(waiting: Any) -> None:
    waiting.type("watch until 2031-06-01", "watch 3 until 2031-07-01")
    (summary,) = waiting.store.cases(open_only=True)
    assert (summary.waits_for, len(promises(waiting.state.events))) == (
        "look again 2031-07-01 at what stays connected", 1)  # fmt: skip
    waiting.type("good 4", "it failed: pos leg 2.3 V, neg leg .1 V")
    (summary,) = waiting.store.cases(open_only=True)
    assert (summary.due, summary.promised, promises(waiting.state.events)) == ("", "", ())


def test_what_was_looked_at_stands_no_longer(waiting: Any) -> None:
    before = waiting.talk.asked
    waiting.type("watch 3 until 2031-06-01", "kept")
    waiting.talk.show_question()
    assert waiting.talk.asked == before


def test_a_day_that_cannot_be_is_told(waiting: Any) -> None:
    before = waiting.state.events
    for day in ("2031-05-03", "2031-13-01", "monday"):
        assert waiting.type(f"watch until {day}")[0].startswith("? ")
    assert waiting.state.events == before
