"""The second base, `kb/flat`: charging and draw, in YAML alone."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

import crankpath.engine
import crankpath.shell
from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import CaseFile, load_case
from crankpath.engine.cases.from_other_base import carried
from crankpath.engine.cases.replay import replay
from crankpath.engine.checking.checks import check_knowledge
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Knowledge
from crankpath.shell.kb_pytest import cases_of
from crankpath.shell.main import cli
from crankpath.shell.reader.reader import read_text

FOLDER = shipped_folder() / "flat"
DECISIVE = sorted((FOLDER / "cases" / "decisive").glob("*.yaml"))
AT_ONCE = 0.9
TAKEN_AGAIN = 0.97

test_case = cases_of("flat", alone=True)


@pytest.fixture(scope="module")
def flat() -> Knowledge:
    return load_knowledge("flat", shipped=False)


def test_the_check_finds_nothing(flat: Knowledge) -> None:
    assert [str(problem) for problem in check_knowledge(flat)] == []


def test_the_starting_circuit_does_not_read_it(kb: Knowledge, flat: Knowledge) -> None:
    assert not {"battery_complaint", "ripple_voltage"} & set(kb.measurements)
    assert not {"crank_behaviour", "positive_leg_drop"} & set(flat.measurements)


def test_every_fault_says_what_is_reported_of_it_and_how_often(kb: Knowledge, flat: Knowledge) -> None:
    """Without a rule a fault is taken to show as a sound machine, so the complaint speaks against it."""
    for base in (kb, flat):
        asked = {m.id for m in base.measurements.values() if {SYMPTOM_KIND, HISTORY_KIND} & set(m.kinds)}
        for measurement in asked:
            spoken = [rule.faults for rule in base.rules.values() if measurement in rule.measurements.ids]
            left = [
                fault.id
                for fault in base.faults.values()
                if not any(fault.id in who.ids or set(fault.kinds) & set(who.kinds) for who in spoken)
            ]
            assert (measurement, left) == (measurement, [])


def test_no_name_of_its_own_stands_in_the_code(kb: Knowledge, flat: Knowledge) -> None:
    """What both circuits know may be read with one machine; what only this one knows is YAML."""
    sections = ("measurements", "faults", "repairs", "points", "segments", "equipment")
    own = {name for section in sections for name in set(getattr(flat, section)) - set(getattr(kb, section))}
    folders = [Path(next(iter(package.__path__))) for package in (crankpath.engine, crankpath.shell)]
    texts = {path: path.read_text("utf-8") for folder in folders for path in folder.rglob("*.py")}
    quoted = {(name, path.name) for path, text in texts.items() for name in own if f'"{name}"' in text}
    assert quoted == set()
    assert [path.name for path, text in texts.items() if "alternator" in text.lower()] == []


def test_it_is_entered_from_any_case_of_the_starting_circuit(kb: Knowledge, flat: Knowledge) -> None:
    for path in sorted((shipped_folder() / "cases").glob("*.yaml")):
        case, left = carried(load_case(path.read_text("utf-8"), path.name), flat, [kb])
        assert left
        assert replay(flat, case).problems == (), path.name


@pytest.mark.slow
def test_a_session_on_pipes_goes_from_the_complaint_to_the_repair(tmp_path: Path) -> None:
    """A case begun in the starting circuit goes on here, in two languages."""
    begun = ["cranks slow", "y", "every time", "dumper 3: 24 V", *[""] * 5, "rest 23.6", "", ""]
    session(tmp_path, *begun)
    first, second = [""] * 4, [""] * 2  # a screen for each piece of work before a reading
    typed = ["", "charge lamp on", *first, "Ladelampe bleibt an", *second, "Keilriemen gerissen", ""]
    typed += ["", "done", ""]
    shown = session(tmp_path, *typed, alone="flat")
    assert "The last case: cranks slow, dumper 3" in shown
    assert ">> REPAIR: fit or tighten the belt" in shown
    assert "Now the proof." in shown
    assert "battery voltage at rest: 23.6" in session(tmp_path, "", "", "entries", alone="flat")


def session(folder: Path, *typed: str, alone: str = "") -> str:
    """What a session prints that reads its lines from a pipe."""
    code = "from crankpath.shell.main import main; main()"
    places = dict.fromkeys(("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "HOME"), str(folder))
    done = subprocess.run(
        [sys.executable, "-c", code, *(["--alone", alone] if alone else [])],
        input="\n".join([*typed, ""]), env={**os.environ, **places}, cwd=folder,
        capture_output=True, encoding="utf-8", timeout=120, check=False,
    )  # fmt: skip
    assert done.stderr == ""
    return done.stdout


CASE = str(FOLDER / "cases" / "brush_that_hangs.yaml")
COMMANDS = {
    "diagnose": [CASE], "sheet": [CASE], "message": [CASE, "--whole"], "watch": [CASE],
    "card": [CASE, "--out", "card.html"], "understand": ["ripple 1.2 V"],
    "chart": ["--complaint", "charge lamp on, every time", "--machine", "24 V", "--depth", "1"],
    "kb check": [], "kb show": ["faults/alternator_ground"], "kb explain": [CASE, "alternator_worn_out"],
    "kb pages": ["pages"], "kb where": ["alternator_ground"],
}  # fmt: skip


LONG = ("chart", "kb check", "kb pages")


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow) if name in LONG else name for name in COMMANDS]
)
def test_a_command_speaks_of_this_circuit(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    given = ["--alone", "flat", *name.split(), *COMMANDS[name]]
    done = CliRunner().invoke(cli, given, catch_exceptions=False)
    assert done.exit_code == 0, done.output
    told = [done.output, *(path.read_text("utf-8") for path in tmp_path.glob("*.html"))]
    assert not any(word in text for word in ("cranked well", "key in start", "solenoid") for text in told)


def test_there_are_twenty_readings_that_decide_and_fifteen_cases() -> None:
    assert len(DECISIVE) >= 20
    assert len(list((FOLDER / "cases").glob("*.yaml"))) >= 15


def chance(flat: Knowledge, written: CaseFile) -> float:
    case = replay(flat, written).case
    assert isinstance(case, Case)
    assert written.expect is not None
    expected = written.expect.repair or flat.faults[str(written.expect.first)].repair
    return case.advisor.repair_chances[expected]


@pytest.mark.parametrize("path", DECISIVE, ids=lambda path: path.stem)
def test_a_decisive_reading_is_believed_and_surely_when_taken_again(flat: Knowledge, path: Path) -> None:
    written = load_case(path.read_text("utf-8"), path.name)
    assert chance(flat, replace(written, entries=written.entries[:-1])) >= AT_ONCE
    assert chance(flat, written) >= TAKEN_AGAIN


@pytest.mark.parametrize(("text", "measurement", "value"), [
    ("0.9 V between alternator output and battery plus under load", "charge_positive_drop", 0.9),
    ("0.6 V from alternator case to battery minus", "charge_ground_drop", 0.6),
    ("1.2 volts AC at the alternator", "ripple_voltage", 1.2),
    ("it draws 1.8 amps after it goes to sleep", "parasitic_draw", 1800.0),
    ("charge light never comes on", "charge_lamp", "never_lights"),
    ("Welligkeit 1,2 Volt", "ripple_voltage", 1.2),
    ("Ladekontrolle glimmt", "charge_lamp", "glows"),
])  # fmt: skip
def test_a_sentence_of_the_trade_is_read(
    flat: Knowledge, text: str, measurement: str, value: float | str
) -> None:
    taken = read_text(text, flat).taken
    assert [(p.measurement, p.understood.value) for p in taken] == [(measurement, value)]
