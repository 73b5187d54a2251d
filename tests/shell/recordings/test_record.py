"""``crankpath record`` and ``record`` in the session, over a recording of two cranks."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.sheet import case_sheet
from crankpath.shell.main import cli
from crankpath.shell.outlets.pages import sheet_html
from crankpath.shell.session.state import case_state, machines
from crankpath.shell.store import open_store

AT = "2031-05-04T08:00:00Z"


def lines() -> Iterator[str]:
    """Two cranks at 200 samples a second: one with a ripple of 7.5 Hz, one with a level that stands still."""
    yield "time (s),U (V),I (A),leg (mV)\n"
    for i in range(12 * 200):
        t = i / 200
        turning, stalled = 2 <= t < 5, 8 <= t < 10
        sway = 0.2 * math.sin(2 * math.pi * 7.5 * t) if turning else 0.0
        volts = 9.8 + sway if turning else 7.2 if stalled else 12.6
        amperes = 400 - 50 * sway if turning else 900.0 if stalled else 0.0
        wiggle = random.Random(i).uniform(-0.005, 0.005)
        yield f"{t:.3f},{volts + wiggle:.3f},{amperes + 20 * wiggle:.2f},{amperes * 0.5 + 5 * wiggle:.2f}\n"


@pytest.fixture(autouse=True)
def _settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CRANKPATH_SETTINGS", str(tmp_path / "settings.json"))


@pytest.fixture
def start(tmp_path: Path) -> Path:
    file = tmp_path / "start.csv"
    file.write_text("".join(lines()), encoding="utf-8")
    return file


COLUMNS = ("--column", "2=battery crank; 3=amps; 4=positive leg", "--fact", "cylinders=6")


def run(tmp_path: Path, *words: object, given: str | None = None) -> Result:
    arguments = ["--store", str(tmp_path / "cases.sqlite"), "record", *map(str, words)]
    return CliRunner().invoke(cli, arguments, input=given)


def begun(tmp_path: Path, *readings: tuple[str, str]) -> str:
    store = open_store(tmp_path / "cases.sqlite")
    case = store.create_case("loader 7", at=AT, by="technician").case_id
    for measurement, text in readings:
        body = {"measurement": measurement, "text": text, "symptom": True}
        store.append(case, "reading", body, at=AT, by="technician")
    store.close()
    return case


def read_back(tmp_path: Path, case: str, kb: Knowledge) -> list[Reading]:
    store = open_store(tmp_path / "cases.sqlite")
    state = case_state(kb, machines(kb), case, store.events(case))
    store.close()
    assert [e.trouble for e in state.entered if e.trouble] == []
    return [entry for entry in state.case.entries if isinstance(entry, Reading) and entry.crank is not None]


def test_each_crank_is_shown_with_its_plot_and_its_values(tmp_path: Path, start: Path) -> None:
    done = run(tmp_path, start, *COLUMNS)
    assert done.exit_code == 0, done.output
    assert "Crank 1, at 2.00 s, 3.00 s long, the engine turned, 150" in done.output
    assert "Crank 2, at 8.00 s, 1.99 s long, the engine did not turn" in done.output
    assert done.output.count("||||||||||||||||||||") >= 4
    assert "Column 4 is positive leg drop, in mV." in done.output


def test_json_has_every_value_with_its_error(tmp_path: Path, start: Path) -> None:
    done = run(tmp_path, start, *COLUMNS, "--json")
    first, second = json.loads(done.output)["cranks"]
    settled = first["columns"]["battery_crank_voltage"]["settled"]
    assert abs(settled["value"] - 9.8) <= settled["error"] < 0.05
    assert abs(first["speed"]["value"] - 150) <= first["speed"]["error"] < 5
    assert (first["turned"], second["turned"], second["speed"]) == (True, False, None)
    leg = second["columns"]["positive_leg_drop"]["settled"]
    assert leg["value"] == pytest.approx(0.45, abs=0.001)


def test_the_readings_of_each_crank_go_into_the_case_under_a_number_of_its_own(
    tmp_path: Path, start: Path, shipped: Knowledge
) -> None:
    case = begun(tmp_path, ("crank_behaviour", "single_click"))
    done = run(tmp_path, start, *COLUMNS, "--case", "loader", "--take")
    assert done.exit_code == 0, done.output
    assert "-- 7 readings of 2 cranks taken." in done.output
    found = read_back(tmp_path, case, shipped)
    assert {r.measurement for r in found if r.crank == 1} == {
        "battery_crank_voltage", "crank_current", "positive_leg_drop", "crank_speed",
    }  # fmt: skip
    assert [r.crank for r in found] == [1, 1, 1, 1, 2, 2, 2]
    run(tmp_path, start, *COLUMNS, "--case", "loader", "--crank", "2", "--take")
    assert [r.crank for r in read_back(tmp_path, case, shipped)][-3:] == [3, 3, 3]


def test_on_a_machine_that_fails_sometimes_each_crank_is_failed_or_good(
    tmp_path: Path, start: Path, shipped: Knowledge
) -> None:
    case = begun(tmp_path, ("occurrence", "intermittent"), ("crank_behaviour", "single_click"))
    run(tmp_path, start, *COLUMNS, "--case", "loader", "--take")
    told = [(r.crank, r.symptom) for r in read_back(tmp_path, case, shipped)]
    assert told == [(1, False)] * 4 + [(2, True)] * 3


def test_a_crank_that_may_be_either_must_be_told(tmp_path: Path, start: Path, shipped: Knowledge) -> None:
    case = begun(tmp_path, ("occurrence", "intermittent"), ("crank_behaviour", "slow"))
    refused = run(tmp_path, start, *COLUMNS, "--case", "loader", "--take")
    assert "Say of crank 1 whether it failed: failed 2, or good 1." in str(refused.exception)
    assert read_back(tmp_path, case, shipped) == []
    run(tmp_path, start, *COLUMNS, "--case", "loader", "--crank", "good 1", "--crank", "failed 2", "--take")
    told = [(r.crank, r.symptom) for r in read_back(tmp_path, case, shipped)]
    assert told == [(1, False)] * 4 + [(2, True)] * 3


def test_columns_are_told_once_for_recordings_with_the_same_header(tmp_path: Path, start: Path) -> None:
    first = run(tmp_path, start, *COLUMNS)
    assert run(tmp_path, start, "--fact", "cylinders=6").output == first.output
    start.write_text(start.read_text("utf-8").replace("leg (mV)", "other (mV)"), encoding="utf-8")
    assert "Say which column is which reading" in str(run(tmp_path, start).exception)


def test_nothing_is_taken_unasked(tmp_path: Path, start: Path, shipped: Knowledge) -> None:
    case = begun(tmp_path)
    done = run(tmp_path, start, *COLUMNS, "--case", "loader")
    assert "Nothing was taken; --take takes the readings." in done.output
    assert read_back(tmp_path, case, shipped) == []


def test_a_stream_shows_its_cranks_as_they_happen_below_the_cautions(tmp_path: Path) -> None:
    done = run(tmp_path, "-", *COLUMNS, given="".join(lines()))
    assert done.exit_code == 0, done.output
    said = done.output.splitlines()
    assert said[0].startswith("! ")
    under_way = [n for n, line in enumerate(said) if " V |||" in line and " s " in line]
    assert len(under_way) > 10
    assert under_way[0] < said.index(next(line for line in said if line.startswith("Crank 1: at 2.00 s")))


@pytest.mark.parametrize(("words", "sentence"), [
    ((), "Say which column is which reading"),
    (("--column", "9=battery crank"), "There is no one column '9'"),
    (("--column", "4=positive leg"), "Cranks are found by voltage"),
    (("--column", "2=battery crank", "--time", "8,s"), "There is no column 8"),
    (("--column", "2=battery crank", "--fact", "cylinders"), "does not say a fact and its value"),
    (("--column", "2=battery crank", "--crank", "good 9"), "names no cranks of this recording; it has 2"),
])  # fmt: skip
def test_what_cannot_be_used_is_refused_in_a_sentence(
    tmp_path: Path, start: Path, words: tuple[str, ...], sentence: str
) -> None:
    assert sentence in str(run(tmp_path, start, *words).exception)


def test_a_file_that_is_not_there_is_refused_in_a_sentence(tmp_path: Path) -> None:
    assert "cannot be read" in str(run(tmp_path, tmp_path / "none.csv", *COLUMNS).exception)


def test_the_sheet_draws_the_cranks_that_were_taken(tmp_path: Path, start: Path, shipped: Knowledge) -> None:
    case = begun(tmp_path, ("crank_behaviour", "single_click"))
    run(tmp_path, start, *COLUMNS, "--case", "loader", "--take")
    store = open_store(tmp_path / "cases.sqlite")
    page = sheet_html(case_sheet(case_state(shipped, machines(shipped), case, store.events(case)), "now"))
    store.close()
    assert "From a recording" in page
    assert "Crank 2, positive leg drop" in page
    assert page.count("<polyline") >= 6
