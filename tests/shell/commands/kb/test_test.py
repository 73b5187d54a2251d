"""``crankpath kb test``: cases, each held against what it expects."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.engine.knowledge.folders import case_texts, shipped_folder
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.shell.commands.kb.test import _mentioned, _own_words, command
from crankpath.shell.kb_folders import Folders
from crankpath.shell.kb_pytest import cases_of

GOOD = """\
readings: {crank_behaviour: slow, positive_leg_drop: 1.1 V, positive_post_drop: 0.9 V}
expect: {first: positive_post_joint}
"""
WRONG = GOOD.replace("first: positive_post_joint", "first: engine_locked")


@pytest.fixture
def _own_cases_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """The shipped knowledge without its cases: they have a test of their own, and take long."""
    monkeypatch.setattr("crankpath.engine.knowledge.folders.case_texts", _cases_of_shops)


def _cases_of_shops(folder: Path) -> Iterator[tuple[str, bytes | str]]:
    return iter(()) if folder == shipped_folder() else case_texts(folder)


def write_cases(folder: Path, **cases: str) -> None:
    (folder / "cases").mkdir()
    (folder / "shop.yaml").write_text("settings: {help_minutes: {value: 240, about: ours}}\n", "utf-8")
    for name, text in cases.items():
        (folder / "cases" / f"{name}.yaml").write_text(text, "utf-8")


def run_cases(folder: Path, **cases: str) -> Result:
    write_cases(folder, **cases)
    return CliRunner().invoke(command, [str(folder)], catch_exceptions=False)


@pytest.mark.slow
def test_cases_of_the_shop_and_the_shipped_ones_run_together(tmp_path: Path) -> None:
    result = run_cases(tmp_path, good=GOOD)
    shipped = len(Folders().cases())
    assert f"of {shipped + 1} cases came out as required." in result.output


@pytest.mark.usefixtures("_own_cases_only")
def test_a_failure_shows_readings_ranking_and_the_rules_that_made_the_difference(tmp_path: Path) -> None:
    result = run_cases(tmp_path, wrong=WRONG)
    assert result.exit_code == 1
    for piece in (
        "wrong.yaml:2",
        "first: expected engine_locked; got positive_post_joint",
        "readings: crank_behaviour slow; positive_leg_drop 1.1 V; positive_post_drop 0.9 V",
        "ranking: positive_post_joint ",
        "engine_locked (number ",
        ", by rule ",
    ):
        assert piece in result.output


@pytest.mark.usefixtures("_own_cases_only")
def test_a_case_with_a_slip_is_a_failure_with_its_line(tmp_path: Path) -> None:
    result = run_cases(tmp_path, slip=GOOD.replace("positive_leg_drop", "positive_leg_dorp"))
    assert result.exit_code == 1
    assert "Did you mean positive_leg_drop" in result.output


def test_a_folder_alone_without_cases_is_refused(tmp_path: Path) -> None:
    for file in (Path(__file__).parents[3] / "engine/data/tiny").iterdir():
        (tmp_path / file.name).write_bytes(file.read_bytes())
    result = CliRunner().invoke(command, ["--alone", str(tmp_path)])
    assert "There is no case to run" in str(result.exception)


def test_two_lines_make_a_pytest_item_of_every_case(tmp_path: Path) -> None:
    write_cases(tmp_path, good=GOOD, wrong=WRONG)
    made = cases_of(tmp_path)
    (mark,) = made.pytestmark  # type: ignore[attr-defined]
    assert len(mark.args[1]) == len(Folders(str(tmp_path)).cases())
    assert any(name.endswith("cases/wrong.yaml") for name in mark.kwargs["ids"])


def test_a_case_is_retired_or_replaced_by_its_file(tmp_path: Path) -> None:
    base, shop = tmp_path / "base", tmp_path / "shop"
    for folder, names in ((base, "ab"), (shop, "b")):
        (folder / "cases").mkdir(parents=True)
        for name in names:
            (folder / "cases" / f"{name}.yaml").write_text("expect: {first: null}\n", "utf-8")
    (base / "tools.yaml").write_text("tools: {meter: {label: meter}}\n", "utf-8")
    (shop / "shop.yaml").write_text("retire: {cases: [a]}\n", "utf-8")
    found = Folders(str(shop), str(base)).cases()
    assert [(folder, file) for folder, file, _ in found] == [(str(shop), "cases/b.yaml")]
    (shop / "shop.yaml").write_text("retire: {cases: [c]}\n", "utf-8")
    _, problems = Folders(str(shop), str(base)).read()
    assert any("cannot retire 'c': no folder below has it in 'cases'" in str(one) for one in problems)


def test_the_cases_that_a_change_speaks_of_come_first(tmp_path: Path) -> None:
    rule = "faults: [ring_gear], measurements: [ring_gear_inspection], reads: {worn: 0.9}, because: so"
    (tmp_path / "a.yaml").write_text(f"rules: {{r: {{{rule}}}}}\n", "utf-8")
    kb = load_knowledge(tmp_path)
    words = _own_words(kb)
    assert {"r", "ring_gear", "ring_gear_inspection"} <= words
    assert _mentioned(b"readings: {ring_gear_inspection: worn}\nexpect: {first: ring_gear}\n", words) == 2
    assert _mentioned(b"readings: {crank_behaviour: slow}\n", words) == 0
