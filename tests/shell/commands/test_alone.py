"""Every command with another whole base: it answers, or says in a sentence why it cannot."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from crankpath.engine.errors import CrankpathError
from crankpath.engine.knowledge.folders import shipped_bases, shipped_folder
from crankpath.shell import settings
from crankpath.shell.main import COMMANDS, cli

BASE = shipped_bases()[0]
CASE = str(min((shipped_folder() / BASE / "cases").glob("*.yaml")))
ANSWERED = {
    "diagnose": [CASE], "message": [CASE], "chart": ["--depth", "1"], "card": [CASE, "--out", "card.html"],
    "sheet": [CASE], "understand": ["nothing"], "desk": ["--handover"], "kb": ["list", "faults"],
}  # fmt: skip
TOLD = {
    "evaluate": ["-n", "1"], "practice": ["--seed", "1"], "record": ["log.csv"],
    "watch": [CASE], "import": ["gone.yaml"], "export": ["gone", "out.yaml"],
}  # fmt: skip
ELSEWHERE = {"completion"}  # it needs no knowledge


def test_every_command_is_tried() -> None:
    assert {*ANSWERED, *TOLD, *ELSEWHERE} == set(COMMANDS)


@pytest.fixture(autouse=True)
def _own_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(settings.VARIABLE, str(tmp_path / "settings.json"))
    monkeypatch.setenv("CRANKPATH_STORE", str(tmp_path / "cases.sqlite"))


@pytest.mark.parametrize("name", ANSWERED)
def test_a_command_answers_with_the_base_named_before_it(name: str) -> None:
    done = CliRunner().invoke(cli, ["--alone", BASE, name, *ANSWERED[name]], catch_exceptions=False)
    assert done.exit_code in (0, 1), done.output
    assert done.output


@pytest.mark.parametrize("name", TOLD)
def test_what_it_cannot_do_is_told_with_the_base_named_after_it(name: str) -> None:
    done = CliRunner().invoke(cli, [name, *TOLD[name], "--alone", BASE])
    assert isinstance(done.exception, CrankpathError | SystemExit), done.exception
    if name in ("evaluate", "practice"):
        assert "than the solved machine" in str(done.exception)
