"""The desk on the command line, whole cases that travel, and the sheet of a stored case."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner, Result
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crankpath.shell.main import cli
from crankpath.shell.store import Event, open_store

if TYPE_CHECKING:
    from crankpath.shell.store import Store


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for variable in ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(variable, str(tmp_path / variable))
    monkeypatch.delenv("CRANKPATH_STORE", raising=False)


def run(place: Path, *arguments: object) -> Result:
    return CliRunner().invoke(cli, ["--store", str(place), *map(str, arguments)])


def at(minute: int) -> str:
    return f"2031-05-04T08:{minute:02d}:00Z"


def fill(store: Store, name: str = "loader 7 cranks slowly") -> str:
    case = store.create_case(name, at=at(0)).case_id
    store.append(case, "complaint", {"text": "cranks slowly"}, at=at(1), by="operator")
    body = {"measurement": "positive_leg_drop", "text": "820 mV", "symptom": True}
    store.append(case, "reading", body, at=at(2), by="field")
    store.append(case, "promised", {"text": "call back at 5"}, at=at(3), by="advisor")
    return case


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A store with one case."""
    file = tmp_path / "cases.sqlite"
    store = open_store(file)
    fill(store)
    store.close()
    return file


def test_the_table_says_what_each_case_waits_for(place: Path) -> None:
    done = run(place, "desk", "--width", 80)
    assert done.exit_code == 0
    head, row = done.stdout.splitlines()
    assert head.split() == ["#", "case", "age", "since", "state", "waits", "for"]
    assert row.startswith("  1   loader 7 cranks slowly")
    assert row.endswith("open      call back at 5")


@pytest.mark.parametrize(
    "arguments", [("desk",), ("desk", "--handover"), ("export", "1", "-"), ("sheet", "--case", "1"),
                  ("kb", "learn", "--from", "STORE")],
)  # fmt: skip
def test_no_command_mends_a_damaged_store_without_a_word(place: Path, arguments: tuple[str, ...]) -> None:
    content = place.read_bytes()
    place.write_bytes(content[: len(content) // 2])
    given = [str(place) if argument == "STORE" else argument for argument in arguments]
    done = run(place, *given)
    assert "The store was damaged (its end is missing). The damaged file is kept as" in done.stderr
    assert "(entries: 4, cases: 1). No entry of the journal is missing." in done.stderr
    assert run(place, *given).stderr.count("damaged") == 0
    assert Path(f"{place}.damaged-1").is_file()


def test_the_handover_tells_reading_promise_and_next_step(place: Path) -> None:
    said = run(place, "desk", "--handover", "--width", 80).stdout
    assert "positive leg drop 820 mV: OUTSIDE its limit" in said
    assert "call back at 5 (advisor" in said
    assert "- next: " in said


def test_the_table_is_data_for_scripts(place: Path) -> None:
    data = json.loads(run(place, "desk", "--json").stdout)
    assert [(case["name"], case["waits_for"]) for case in data] == [
        ("loader 7 cranks slowly", "call back at 5")
    ]


def test_a_search_that_finds_nothing_says_so(place: Path) -> None:
    assert run(place, "desk", "--search", "tractor").stdout == "   There is no open case.\n"
    assert run(place, "desk", "--handover", "--search", "tractor").stdout == "There is no open case.\n"


def test_closed_cases_are_listed_when_asked_for(place: Path) -> None:
    store = open_store(place)
    store.append(store.cases()[0].id, "closed", {"causes": ["positive_cable"]}, at=at(9))
    store.close()
    assert "loader 7" not in run(place, "desk").stdout
    assert "closed" in run(place, "desk", "--all").stdout


def test_the_store_named_holds_for_this_run_only(place: Path, tmp_path: Path) -> None:
    run(place, "desk")
    assert "CRANKPATH_STORE" not in os.environ
    assert "There is no open case" in run(tmp_path / "other.sqlite", "desk").stdout


def test_a_store_of_an_unknown_kind_is_refused_in_a_sentence(tmp_path: Path) -> None:
    done = CliRunner().invoke(cli, ["--store", "gopher://host/cases", "desk"])
    assert "names a gopher address without a store this program knows" in str(done.exception)


def test_a_sheet_is_written_from_the_store(place: Path, tmp_path: Path) -> None:
    page = tmp_path / "sheet.html"
    assert run(place, "sheet", "--case", "loader", "--html", page).exit_code == 0
    assert "loader 7 cranks slowly" in page.read_text("utf-8")
    data = json.loads(run(place, "sheet", "--case", 1, "--json").stdout)
    assert [(row["measurement"], row["by"]) for row in data["rows"]] == [("positive_leg_drop", "field")]


@pytest.mark.parametrize("arguments", [(), ("case.yaml", "--case", "loader")])
def test_a_sheet_needs_either_a_file_or_a_case(place: Path, arguments: tuple[str, ...]) -> None:
    assert run(place, "sheet", *arguments).exit_code == 2


def test_a_whole_case_goes_into_another_store_and_nothing_twice(place: Path, tmp_path: Path) -> None:
    file, other = tmp_path / "case.json", tmp_path / "other.sqlite"
    assert run(place, "export", 1, file, "--whole").exit_code == 0
    assert "4 new entries, 0 already here" in run(other, "import", file).stdout
    assert "0 new entries, 4 already here" in run(other, "import", file).stdout
    assert "loader 7 cranks slowly" in run(other, "desk").stdout


def test_two_copies_that_differ_show_it_and_keep_both(place: Path, tmp_path: Path) -> None:
    file, back, other = tmp_path / "case.json", tmp_path / "back.json", tmp_path / "other.sqlite"
    run(place, "export", 1, file, "--whole")
    run(other, "import", file)
    for where, value, minute in ((place, "0.3 V", 10), (other, "0.5 V", 20)):
        store = open_store(where)
        body = {"measurement": "negative_leg_drop", "text": value, "symptom": True}
        store.append(store.cases()[0].id, "reading", body, at=at(minute), by="field")
        store.close()
    run(other, "export", 1, back, "--whole")
    said = run(place, "import", back).stdout
    assert "The two copies differ in 1 matter; both entries are kept" in said
    assert "here negative leg drop: 0.3 V (field" in said
    assert "in the file negative leg drop: 0.5 V (field" in said
    store = open_store(place)
    values = [e.body.get("text") for e in store.events(store.cases()[0].id) if e.kind == "reading"]
    store.close()
    assert values == ["820 mV", "0.3 V", "0.5 V"]


def entries(place: Path, case: str) -> dict[str, Event]:
    store = open_store(place)
    found = {event.id: event for event in store.events(case)}
    store.close()
    return found


WORK = st.lists(
    st.sampled_from(
        [
            ("note", {"text": "rained"}),
            ("reading", {"measurement": "negative_leg_drop", "text": "0.3 V", "symptom": True}),
            ("reading", {"measurement": "negative_leg_drop", "text": "0.5 V", "symptom": True}),
            ("closed", {"causes": ["positive_cable"]}),
            ("renamed", {"name": "other"}),
            ("promised", {"text": "call"}),
        ]
    ),
    max_size=4,
)


@settings(max_examples=3, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ours=WORK, theirs=WORK, first=st.booleans())
def test_whatever_both_worked_every_entry_of_both_survives_in_any_order(
    tmp_path_factory: pytest.TempPathFactory,
    ours: list[tuple[str, dict]],
    theirs: list[tuple[str, dict]],
    first: bool,
) -> None:
    folder = tmp_path_factory.mktemp("merge")
    here, there = folder / "here.sqlite", folder / "there.sqlite"
    store = open_store(here)
    case = fill(store)
    store.close()
    assert run(here, "export", 1, folder / "start.json", "--whole").exit_code == 0
    assert run(there, "import", folder / "start.json").exit_code == 0
    for place, work in ((here, ours), (there, theirs)):
        store = open_store(place)
        for minute, (kind, body) in enumerate(work, 10):
            store.append(case, kind, body, at=at(minute))
        store.close()
    before = entries(here, case) | entries(there, case)
    pairs = [(here, there), (there, here)]
    for giving, taking in pairs if first else reversed(pairs):
        file = folder / f"from_{giving.stem}.json"
        assert run(giving, "export", case_name(giving, case), file, "--whole").exit_code == 0
        assert run(taking, "import", file).exit_code == 0
    assert set(entries(here, case)) == set(entries(there, case)) == set(before)
    assert [e.id for e in entries(here, case).values()] == [e.id for e in entries(there, case).values()]


def case_name(place: Path, case: str) -> str:
    store = open_store(place)
    name = store.case(case).name
    store.close()
    return name


HOSTILE = "\x1b[31mred\x1b]0;t\x07 \x9b2J \u202egnp <script>alert(1)</script> \" onload=x '<img src=http://x.example>\r\n\x00&amp;"


def hostile_case() -> dict[str, object]:
    """A whole case with hostile words wherever a word can be."""
    kinds = {
        "opened": {"name": HOSTILE, "machine": HOSTILE},
        "equipment": {
            "facts": {HOSTILE: HOSTILE, "system_voltage": HOSTILE},
            "machine": HOSTILE,
            "lacks": [HOSTILE],
        },
        "complaint": {"text": HOSTILE},
        "reading": {"measurement": HOSTILE, "text": HOSTILE, "note": HOSTILE},
        "note": {"text": HOSTILE},
        "promised": {"text": HOSTILE},
        "sent": {"text": HOSTILE, "waits_for": HOSTILE, "measurement": HOSTILE, "cautions": [HOSTILE]},
        "repaired": {"repair": HOSTILE, "cured": None},
        "cannot": {"measurement": HOSTILE},
        "skip": {"measurement": HOSTILE},
        "tries": {"failures": 1, "of": 2, "note": HOSTILE},
        "caution_shown": {"caution": HOSTILE},
    }
    events = [
        {
            "id": f"{n:032x}",
            "kind": kind,
            "at": at(n),
            "by": "field",
            "body": body,
            "stamp": at(n),
            "origin": "b" * 32,
        }
        for n, (kind, body) in enumerate(kinds.items())
    ]
    good = {"measurement": "positive_leg_drop", "text": "820 mV", "symptom": True, "note": HOSTILE}
    events.append({**events[3], "id": "c" * 32, "body": good, "at": at(30), "stamp": at(30)})
    return {
        "format": "crankpath case events",
        "version": 1,
        "case": "d" * 32,
        "name": HOSTILE,
        "events": events,
    }


def bare(text: str) -> bool:
    return not any((ord(c) < 32 and c != "\n") or 127 <= ord(c) < 160 or c in "\u202e\u2028" for c in text)


@pytest.mark.slow
def test_hostile_words_in_a_case_from_elsewhere_reach_neither_terminal_nor_page(tmp_path: Path) -> None:
    place, file, page = tmp_path / "cases.sqlite", tmp_path / "case.json", tmp_path / "sheet.html"
    file.write_text(json.dumps(hostile_case()), "utf-8")
    for arguments in (
        ("import", file), ("import", file), ("desk",), ("desk", "--width", 40), ("desk", "--handover"),
        ("desk", "--handover", "--width", 40), ("desk", "--json"), ("sheet", "--case", 1),
        ("export", 1, "-", "--whole"), ("sheet", "--case", 1, "--json"),
        ("sheet", "--case", 1, "--html", page), ("sheet", "--case", HOSTILE),
    ):  # fmt: skip
        done = run(place, *arguments)
        refused = str(done.exception) if done.exit_code else ""
        assert bare(done.output + refused), arguments
        assert done.exit_code == 0 or arguments[-1] == HOSTILE, (arguments, done.exception)
    html = page.read_text("utf-8")
    assert bare(html)
    assert "<script" not in html
    assert "<img" not in html
    assert "&lt;script&gt;" in html


def test_what_is_due_or_unanswered_comes_by_its_urgency(place: Path) -> None:
    with closing(open_store(place)) as store:
        store.append(store.cases()[0].id, "closed", {"causes": []}, at=at(5))
        for name, kind, body in (
            ("later", "promised", {"text": "call", "due": "2031-05-05T08:00:00Z"}),
            ("asked", "sent", {"text": "t", "waits_for": "neg leg"}),
            ("sooner", "promised", {"text": "call", "due": "2031-05-04T18:00:00Z"}),
        ):
            case = store.create_case(name, at="2031-05-04T08:00:00Z").case_id
            store.append(case, kind, body, at="2031-05-04T08:00:00Z")
    lines = run(place, "desk", "--due", "--width", "120").output.splitlines()[1:]
    assert [line.split()[1] for line in lines] == ["sooner", "later", "asked"]
    assert "There are more" in run(place, "desk", "--due", "--limit", "1").output


@pytest.mark.slow
def test_five_hundred_open_cases_are_listed_at_once(place: Path) -> None:
    with closing(open_store(place)) as store:
        for number in range(500):
            case = store.create_case(f"loader {number}", at="2031-05-04T08:00:00Z").case_id
            store.append(case, "sent", {"text": "t", "waits_for": "w"}, at="2031-05-04T08:00:00Z")
    code = "import sys, time; from crankpath.shell.main import main\ntry: main()\nfinally: "
    code += "print(time.process_time(), file=sys.stderr)"
    done = subprocess.run(
        [sys.executable, "-c", code, "--store", str(place), "desk", "--limit", "500"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert len(done.stdout.splitlines()) >= 501
    assert float(done.stderr.split()[-1]) < 1.0  # half a second where nothing else runs
