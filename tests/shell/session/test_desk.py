"""The words of the desk: send, promise, kept, close, handover, cases, export whole, sheet."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.store import Write

OPENING = ("cranks slowly", "slow", "every time", "loader 7: 12 V", "")


@pytest.fixture(autouse=True)
def _own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CRANKPATH_SETTINGS", str(tmp_path / "settings.json"))


@pytest.fixture
def seat(sit: Callable[..., Any], small: Knowledge) -> Any:
    sitting = sit(small)
    sitting.type(*OPENING)
    return sitting


def said(seat: Any, line: str) -> str:
    """What a line prints, as one line."""
    return " ".join(" ".join(seat.type(line)).split())


def test_sending_is_kept_with_what_it_waits_for(seat: Any) -> None:
    shown = seat.type("send neg leg")
    sent = next(event for event in seat.state.events if event.kind == "sent")
    assert sent.by == "advisor"
    assert sent.body["waits_for"] == "negative leg drop"
    assert sent.body["text"].splitlines()[0] in " ".join(shown)
    assert "waiting for negative leg drop" in " ".join(shown)
    assert seat.store.cases()[0].waits_for == "negative leg drop"


def test_the_limit_is_set_once_and_kept(seat: Any, sit: Callable[..., Any], small: Knowledge) -> None:
    seat.type("send limit 90")
    other = sit(small)
    other.type(*OPENING)
    other.type("send")
    sent = next(event for event in other.state.events if event.kind == "sent")
    assert max(map(len, sent.body["text"].splitlines())) <= 90
    assert "-- One message holds 90 characters." in other.type("send limit")


@pytest.mark.parametrize("limit", ["69", "9999999999999999", "-1", "many"])
def test_a_limit_that_would_cut_cautions_is_refused(seat: Any, limit: str) -> None:
    assert "A limit is a number from 70" in said(seat, f"send limit {limit}")


def test_a_card_is_written_once(seat: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)  # a short path stands in one line
    page = Path("step.html")
    assert f"-- To send, written to {page}." in said(seat, f"send card {page}")
    assert page.read_text("utf-8").startswith("<!DOCTYPE html>")
    assert "exists already" in said(seat, f"send card {page}")


def test_the_cautions_of_a_message_are_not_asked_again(seat: Any) -> None:
    seat.type("send")
    assert {"chocks", "clear", "gas"} <= seat.state.cautions


def test_a_promise_waits_until_it_is_kept(seat: Any) -> None:
    seat.type("promise call back at 5", "promise look up the cable")
    assert seat.store.cases()[0].waits_for == "call back at 5"  # it has a time
    assert "? Which? kept 1 says that the first was kept." in seat.type("kept")
    seat.type("kept 1")
    assert seat.store.cases()[0].waits_for == "look up the cable"
    seat.type("kept")
    assert seat.store.cases()[0].waits_for == ""
    assert seat.type("kept") == ["? No promise is open in this case."]


def test_a_handover_names_promise_and_message(seat: Any) -> None:
    seat.type("promise call back at 5", "send pos leg")
    said = "\n".join(seat.type("handover"))
    assert re.search(r" call back \(advisor, \d\d:\d\d\)", said)
    assert re.search(r"awaited: positive leg drop, asked at \d\d:\d\d, just now, as [A-Z]{4}-1", said)


def test_one_word_switches_the_case(seat: Any) -> None:
    first = seat.state.id
    seat.type("new", "silent, nothing happens")
    second = seat.state.id
    seat.type("@loader")
    assert seat.state.id == first
    seat.type("@silent")
    assert seat.state.id == second
    seat.type("@2")
    assert seat.state.id == first


def test_a_number_means_the_list_that_is_on_the_screen(seat: Any) -> None:
    first = seat.state.id
    seat.type("new", "silent, nothing happens")
    second = seat.state.id
    seat.type("desk")  # 1: the second, 2: the first
    seat.type("@2", "note the first is the newest now", "@1")
    assert seat.state.id == second
    seat.type("@1", "@2")
    assert seat.state.id == first


def test_a_case_is_given_to_somebody_and_the_list_says_so(seat: Any) -> None:
    assert "Mira has this case" in said(seat, "give Mira")
    assert "(Mira)" in said(seat, "desk")
    seat.type("give nobody")
    assert "(Mira)" not in said(seat, "desk")


def test_a_promise_with_a_time_is_due_then(seat: Any) -> None:
    assert "-- noted, due" in said(seat, "promise call back in 40 min")
    assert seat.store.cases()[0].due.startswith("2031-05-04T08:4")


def test_the_open_cases_are_listed_with_what_each_waits_for(seat: Any) -> None:
    seat.type("send neg leg")
    lines = seat.type("desk")
    assert lines[0].split() == ["#", "case", "age", "since", "state", "waits", "for"]
    assert lines[1].startswith("  1 * loader 7: cranks slowly")
    assert "negative leg drop" in lines[1]


def test_a_word_that_two_cases_have_shows_both(seat: Any) -> None:
    seat.type("new", "cranks slowly too")
    lines = seat.type("@cranks")
    assert len(lines) == 4
    assert lines[-1] == "? Give its number with @, or one more word."


def test_closing_names_what_was_at_fault(seat: Any) -> None:
    seat.type("close ground cable, positive cable")
    assert seat.state.causes == ("ground", "hot_cable")
    assert seat.store.cases(open_only=False)[0].causes == ("ground", "hot_cable")
    assert seat.type("close")[0] == "? The case is already closed."


def test_closing_with_a_cause_nobody_knows_is_refused(seat: Any) -> None:
    assert "close none closes it without a cause" in said(seat, "close gremlins")
    seat.type("close none")
    assert (seat.state.closed, seat.state.causes) == (True, ())


def test_a_closed_case_is_found_by_its_name(seat: Any) -> None:
    first = seat.state.id
    seat.type("close none", "new", "silent", "@loader")
    assert seat.state.id == first


@pytest.mark.parametrize(
    ("name", "begins"), [("a.html", "<!DOCTYPE html>"), ("a.json", "{"), ("a.txt", "loader 7")]
)
def test_the_sheet_is_written_by_the_files_ending(seat: Any, tmp_path: Path, name: str, begins: str) -> None:
    seat.type(f"sheet {tmp_path / name}")
    assert (tmp_path / name).read_text("utf-8").startswith(begins)
    assert "exists already" in said(seat, f"sheet {tmp_path / name}")


def test_a_sheet_of_another_kind_is_refused(seat: Any, tmp_path: Path) -> None:
    assert "A sheet is .html, .txt or .json, not .pdf." in said(seat, f"sheet {tmp_path / 'a.pdf'}")


def test_a_whole_case_travels_as_one_file(seat: Any, tmp_path: Path) -> None:
    file = tmp_path / "case.json"
    seat.type("note before", f"export whole {file}", "note after")
    assert json.loads(file.read_text("utf-8"))["case"] == seat.state.id
    seat.type("new", "another", f"import {file}")
    assert seat.state.name == "cranks slowly"
    assert [e.body["text"] for e in seat.state.events if e.kind == "note"] == ["before", "after"]


def test_a_damaged_file_changes_nothing(seat: Any, tmp_path: Path) -> None:
    file = tmp_path / "case.json"
    seat.type(f"export whole {file}")
    file.write_text(file.read_text("utf-8")[:-20], "utf-8")
    before = seat.state.events
    assert "damaged" in said(seat, f"import {file}")
    assert seat.state.events == before


def test_an_entry_that_another_wrote_between_two_of_ours_is_seen(seat: Any, small: Knowledge) -> None:
    store = seat.store
    write = store.extend

    def both(case: str, entries: Any, **more: Any) -> Any:
        write(case, [Write("note", {"text": "from the other"}, "field")], at="2031-05-04T09:00:00Z")
        return write(case, entries, **more)

    store.extend = both
    seat.type("note mine")
    store.extend = write
    assert "-- Another shell: note: from the other" in seat.type("list")


# -- photos, files, papers ------------------------------------------------------------------


def test_a_photo_is_kept_with_an_entry_and_stands_on_the_sheet(seat: Any, tmp_path: Path) -> None:
    (tmp_path / "lug.jpg").write_bytes(b"\xff\xd8\xff" + b"x" * 2_400)
    seat.type("pos leg 0.3")
    shown = said(seat, f"attach {tmp_path / 'lug.jpg'}")
    assert "lug.jpg (2 kB) attached to: positive leg drop: 0.3" in shown
    (event,) = [e for e in seat.state.events if e.kind == "attached"]
    reading = next(e for e in seat.state.events if e.body.get("measurement") == "positive_leg_drop")
    assert event.body["event"] == reading.id
    seat.type(f"sheet {tmp_path / 'a.html'}", f"sheet {tmp_path / 'a.txt'}", f"sheet {tmp_path / 'a.json'}")
    page = (tmp_path / "a.html").read_text("utf-8")
    assert '<img src="data:image/jpeg;base64,' in page
    assert "lug.jpg (2 kB), to no. 3" in page
    assert "lug.jpg (2 kB), to no. 3" in (tmp_path / "a.txt").read_text("utf-8")
    assert json.loads((tmp_path / "a.json").read_text("utf-8"))["files"][0]["digest"] == event.body["digest"]
    assert "lug.jpg (2 kB)" in said(seat, "handover")


def test_a_photo_goes_to_the_entry_that_is_named_and_survives_export(seat: Any, tmp_path: Path) -> None:
    (tmp_path / "a b.jpg").write_bytes(b"x")
    seat.type("note rained", f"attach '{tmp_path / 'a b.jpg'}' to 1", f"export whole {tmp_path / 'c.json'}")
    kept = json.loads((tmp_path / "c.json").read_text("utf-8"))["events"]
    (body,) = [e["body"] for e in kept if e["kind"] == "attached"]
    assert (body["file"], body["size"]) == ("a b.jpg", 1)
    assert "there is no entry 99" in said(seat, f"attach {tmp_path / 'a b.jpg'} to 99").lower()
    assert "cannot be read" in said(seat, "attach nowhere.jpg")


def test_what_the_papers_ask_for_stands_on_the_sheet(seat: Any, tmp_path: Path) -> None:
    seat.type("papers job 4711", "papers ser X-12", "papers hours 8210", "papers bay 4", "papers job 4712")
    seat.type(f"sheet {tmp_path / 'a.json'}")
    fields = json.loads((tmp_path / "a.json").read_text("utf-8"))["fields"]
    assert fields == [["job", "4712"], ["serial", "X-12"], ["hours", "8210"], ["bay", "4"]]
    assert "papers job 4711" in said(seat, "papers")
