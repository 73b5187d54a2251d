"""``crankpath kb diff``: what a change of a shop's folder does, told worst first."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.shell.main import cli

SHOP = """\
rules:
  slight_resistance_shows_across:
    like: slight_resistance_shows_across
    reads: {between: [0.01, 0.05], nothing: 0.3}
"""
CASE = """\
about: a slow loader
equipment: {system_voltage: 12}
readings: {crank_behaviour: slow, positive_post_drop: 0.6 V}
expect: {first: positive_post_joint}
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop" / "cases").mkdir(parents=True)
    (tmp_path / "shop" / "cases" / "slow.yaml").write_text(CASE, "utf-8")
    (tmp_path / "shop" / "rules.yaml").write_text(SHOP, "utf-8")
    return tmp_path / "shop"


@pytest.fixture(autouse=True)
def few_cases(monkeypatch: pytest.MonkeyPatch) -> None:
    """The shipped cases are run by their own tests; here they would only take time."""
    from crankpath.engine.knowledge import folders

    def own_cases(folder: Path) -> list[tuple[str, bytes | str]]:
        if folder.name != "shop":
            return []
        return [("cases/slow.yaml", folders.read_file(folder / "cases" / "slow.yaml"))]

    monkeypatch.setattr(folders, "case_texts", own_cases)


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, ["kb", "diff", *words])


def test_the_shop_s_changes_and_what_they_do_to_its_cases_are_told(shop: Path) -> None:
    done = run("shipped", str(shop), "--machines", "0")
    assert done.exit_code == 1
    lines = done.stdout.splitlines()
    assert lines[0] == "Entries: 0 added, 1 changed, 0 retired."
    assert lines[1] == "~ rules slight_resistance_shows_across  shop/rules.yaml:2"
    assert any(re.fullmatch(r"    reads\.between: \[[\d., ]+\] -> \[0\.01, 0\.05\]", line) for line in lines)
    assert "    reads.nothing: nothing -> 0.3" in lines
    assert "Cases: 1 of 1 come out differently." in lines
    assert any(line.startswith("* cases/slow.yaml: a slow loader") for line in lines)
    assert any(line.startswith("    ranking: positive_post_joint ") for line in lines)


def test_a_folder_beside_itself_changes_nothing(shop: Path) -> None:
    done = run(str(shop), str(shop), "--machines", "0")
    assert done.exit_code == 0
    assert done.stdout.splitlines()[0] == "Entries: none differs."
    assert "Cases: 0 of 1 come out differently." in done.stdout


def test_drawn_machines_are_told_with_what_both_make_of_them(shop: Path) -> None:
    done = run("shipped", str(shop), "--machines", "1", "--seed", "5")
    figures = [line for line in done.stdout.splitlines() if "first repair right" in line]
    assert [line.split()[0] for line in figures] == ["before", "after"]
    assert "drawn (seed 5)" in done.stdout


def test_a_folder_that_cannot_be_used_is_refused_with_its_slips(shop: Path) -> None:
    (shop / "rules.yaml").write_text("rules: {x: {faults: [nothing]}}\n", "utf-8")
    done = run("shipped", str(shop), "--machines", "0")
    assert "rules.yaml:1" in str(done.exception)
