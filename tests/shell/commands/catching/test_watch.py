"""What to leave connected, from a file: text, card for the cab, data."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.main import cli
from crankpath.shell.outlets.messages.watch_card import watch_card
from crankpath.shell.reader.reader import read_text

CASE = """
equipment: {system_voltage: 24}
readings:
  occurrence: intermittent
  crank_behaviour: slow
  battery_rest_voltage: 25.4 V
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "loader.yaml"
    path.write_text(CASE, "utf-8")
    return path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(cli, [str(argument) for argument in arguments])


def test_the_text_says_cautions_then_leads_then_what_to_do_then_what_it_means(file: Path) -> None:
    done = run("watch", file, "--call", "the workshop", "--width", 200)
    assert done.exit_code == 0
    told = [done.stdout.index(part) for part in (
        "! Leads left on: tied down", "Connected\n  A  ", "When it fails\n",
        "Call the workshop, as soon as it has failed",
        "What it will point to\n", "Anything else does not decide it alone.",
    )]  # fmt: skip
    assert told == sorted(told)


@pytest.mark.parametrize("meters", [1, pytest.param(2, marks=pytest.mark.slow), 3])
def test_as_many_meters_stay_on_as_there_are(file: Path, meters: int) -> None:
    card = json.loads(run("watch", file, "--meters", meters, "--json").stdout)
    assert [one["letter"] for one in card["connected"]] == list("ABC"[:meters])
    assert all(one["places"] for one in card["connected"])


def test_no_line_is_wider_than_asked_for(file: Path) -> None:
    lines = run("watch", file, "--width", 40).stdout.splitlines()
    assert max(map(len, lines)) <= 40


def test_the_card_for_the_cab_is_a_page_without_anything_to_fetch(file: Path, tmp_path: Path) -> None:
    page = tmp_path / "cab.html"
    assert run("watch", file, "--html", page, "--call", "<b>workshop</b>").exit_code == 0
    html = page.read_text("utf-8")
    assert "Meters left on to catch the next failure" in html
    assert "&lt;b&gt;workshop" in html
    assert "http:" not in html
    assert "https:" not in html
    assert "<script" not in html


def test_a_card_of_the_next_step_is_the_card_for_the_cab_when_waiting_is_next(
    file: Path, tmp_path: Path
) -> None:
    looked = "  positive_post_inspection: clean_tight\n  negative_post_inspection: clean_tight\n"
    looked += "  battery_pair_difference: 0.02 V\n"
    file.write_text(CASE + looked, "utf-8")
    assert run("diagnose", file).stdout.count("Verdict: watch. Leave connected until it fails") == 1
    run("card", file, "--out", tmp_path / "step.html")
    assert "Meters left on" in (tmp_path / "step.html").read_text("utf-8")
    assert "WAIT for the next failure" in run("message", file, "--limit", 400).stdout


@pytest.mark.parametrize(
    ("lines", "why"),
    [
        ("readings: {crank_behaviour: slow}", "It fails every time"),
        ("equipment: {people_at_machine: true}\nreadings: {occurrence: intermittent}", "STOP"),
    ],
)
def test_where_nothing_is_to_be_waited_for_it_says_why(tmp_path: Path, lines: str, why: str) -> None:
    path = tmp_path / "loader.yaml"
    path.write_text(lines, "utf-8")
    done = run("watch", path)
    assert done.exit_code != 0
    assert why in str(done.exception)


def test_a_repair_that_a_picture_does_not_prove_is_said_to_be_unproven(file: Path) -> None:
    meanings = json.loads(run("watch", file, "--meters", 1, "--json").stdout)["meanings"]
    assert meanings
    for meaning in meanings:
        unproven = int(meaning["probability"].split()[0]) < 80
        assert meaning["repair"].startswith("not proven, likeliest: ") is unproven


@pytest.mark.parametrize("complaint", ["slow", "silent", "single_click", "chatter"])
@pytest.mark.parametrize("volts", [12, 24])
def test_a_failure_written_as_the_card_shows_it_is_understood_whole(
    shipped: Knowledge, complaint: str, volts: int
) -> None:
    case = Case(shipped, {"system_voltage": volts})
    case.record("occurrence", "intermittent")
    case.record("crank_behaviour", complaint)
    for _ in range(2):
        card = watch_card(case)
        read = read_text(card.answer, shipped, case.assessment.now.facts)
        asked = [one.measurement for one in (*card.connected, *card.noted)]
        assert {p.measurement for p in read.taken} == set(asked)
        assert all(p.symptom for p in read.taken)
        for p in read.taken:
            case.record(p.measurement, p.text)
