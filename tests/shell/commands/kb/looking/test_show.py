"""``crankpath kb show``: everything about an entry, in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.main import cli
from crankpath.shell.outlets.reports.entry import entry_lines


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["kb", "show", *words])


def test_a_fault_is_shown_with_repair_proof_place_and_the_rules_that_bear_on_it() -> None:
    lines = run("faults/positive_cable").stdout.splitlines()
    assert lines[0] == "fault positive_cable: damaged positive cable"
    assert lines[1].strip().startswith(("kb/faults/positive_run.yaml:", "/"))
    assert "  repair: replace the positive cable (replace_positive_cable)" in lines
    assert "  proof: positive cable drop (positive_cable_drop)" in lines
    bearing = lines[lines.index("Rules that bear on it") :]
    assert "  positive cable drop (positive_cable_drop)" in bearing
    assert any(line.strip().startswith("slight_resistance_shows_across, ") for line in bearing)


KEYS = ("measurements/positive_leg_drop", "cautions/ground_off_first", "rules/open_joint_takes_it_all")


@pytest.mark.parametrize("key", [KEYS[0], *(pytest.param(key, marks=pytest.mark.slow) for key in KEYS[1:])])
@pytest.mark.parametrize("width", [40, pytest.param(80, marks=pytest.mark.slow)])
def test_no_line_is_broader_than_asked_for(kb: Knowledge, key: str, width: int) -> None:
    long = [line for line in entry_lines(kb, key, {}, width) if len(line) > width]
    assert [line for line in long if " " in line.strip()] == []


def test_an_id_of_two_entries_shows_both() -> None:
    lines = run("positive_cable").stdout.splitlines()
    assert [line.split()[0] for line in lines if " positive_cable: " in line] == ["segment", "fault"]


def test_the_cases_that_rest_on_an_entry_are_named(kb: Knowledge) -> None:
    cases = {"faults/positive_cable": ("cases/one.yaml", "cases/two.yaml")}
    lines = entry_lines(kb, "faults/positive_cable", cases)
    assert "Cases: cases/one.yaml, cases/two.yaml" in lines


def test_a_name_that_is_none_is_told_with_a_near_one(kb: Knowledge) -> None:
    with pytest.raises(UnknownName, match="positive_cable"):
        entry_lines(kb, "positive_cabel", {})


def test_an_entry_of_the_shop_is_shown_where_it_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # a short path stands in one line
    Path("ours").mkdir()
    Path("ours/shop.yaml").write_text("cautions:\n  dog: {text: Mind the dog., short: Dog.}\n", "utf-8")
    output = CliRunner().invoke(cli, ["--kb", "ours", "kb", "show", "dog"]).stdout
    assert output.startswith("caution dog: Dog.\n")
    assert "ours/shop.yaml:2" in output
