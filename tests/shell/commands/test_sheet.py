"""The commands that write a case out: sheet, card and message."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.shell.main import cli

CASE = """
complaint: cranks slow
equipment: {system_voltage: 12}
entries:
  - {reading: crank_behaviour, value: slow, by: operator}
  - {reading: positive_leg_drop, value: 820 mV, at: "2026-01-05T10:00:00Z", note: twice}
  - {note: rained all night}
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "loader.yaml"
    path.write_text(CASE, "utf-8")
    return path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(cli, [str(argument) for argument in arguments])


def test_a_sheet_is_text_without_any_option(file: Path) -> None:
    done = run("sheet", file, "--machine", "loader 7")
    assert done.exit_code == 0
    assert done.stdout.startswith("loader 7\ncase loader\n")
    assert "  2 FAIL  positive leg drop: 0.82 V   (at most 0.4 V)\n          twice\n" in done.stdout
    assert "  rained all night\n" in done.stdout


def test_a_sheet_is_json(file: Path) -> None:
    data = json.loads(run("sheet", file, "--json").stdout)
    assert data["complaint"] == "cranks slow"
    assert [row["by"] for row in data["rows"]] == ["operator", ""]


def test_a_sheet_is_a_page(file: Path, tmp_path: Path) -> None:
    out = tmp_path / "sheet.html"
    done = run("sheet", file, "--html", out)
    assert (done.exit_code, done.stdout) == (0, "")
    assert out.read_text("utf-8").startswith("<!DOCTYPE html>")


def test_text_and_json_exclude_each_other(file: Path) -> None:
    assert run("sheet", file, "--json", "--text").exit_code == 2


def test_a_page_that_cannot_be_written_is_refused_in_a_sentence(file: Path, tmp_path: Path) -> None:
    done = run("sheet", file, "--html", tmp_path / "none" / "sheet.html")
    assert "cannot be written" in str(done.exception)


def test_a_card_is_written_for_the_next_step_or_a_named_reading(file: Path, tmp_path: Path) -> None:
    for more in ((), ("--reading", "neg leg")):
        out = tmp_path / "card.html"
        assert run("card", file, "--out", out, *more).exit_code == 0
        assert "Neutral/park, brake on, chock wheels." in out.read_text("utf-8")
    assert "negative leg drop" in out.read_text("utf-8")


def test_a_message_keeps_to_its_limit(file: Path) -> None:
    done = run("message", file, "--limit", 100, "--number", 3)
    lines = done.stdout.splitlines()
    assert done.exit_code == 0
    assert lines[0].startswith(f"1/{len(lines)} Step 3: ")
    assert max(map(len, lines)) <= 100


def test_a_message_can_be_the_whole_procedure(file: Path) -> None:
    whole = run("message", file, "--whole", "--reading", "pos leg").stdout
    assert "\nRED LEAD: battery positive post." in whole
    parts = run("message", file, "--whole", "--limit", 160, "--reading", "pos leg").stdout.splitlines()
    assert max(map(len, parts)) <= 160
    assert len(parts) > 10


def test_a_limit_that_cuts_cautions_is_refused(file: Path) -> None:
    assert run("message", file, "--limit", 40).exit_code == 2


def test_a_slip_in_the_file_is_told_with_its_line(file: Path) -> None:
    file.write_text(CASE.replace("820 mV", "310 V"), "utf-8")
    done = run("message", file)
    assert f"{file}:6:" in str(done.exception)


@pytest.mark.parametrize("command", ["sheet", "card", "message"])
def test_help_tells_the_exit_codes_and_an_example(command: str) -> None:
    text = run(command, "--help").stdout
    assert "Exit codes: 0" in " ".join(text.split())
    assert f"crankpath {command} loader.yaml" in text
