"""``crankpath kb check`` and ``kb checks``: every slip with its place, its advice and its check."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.engine.checking.checks import CHECKS
from crankpath.shell.commands.kb import check as kb_check
from crankpath.shell.commands.kb import checks as kb_checks
from crankpath.shell.main import cli

TWO_SLIPS = """\
tools:
  borescope: {label: borescope}
references:
  hearsay: {title: hearsay, standing: from_memory}
"""


CLEAN = Path(__file__).parents[3] / "engine" / "checking" / "clean.yaml"


def check(folder: Path, text: str, *options: str) -> Result:
    (folder / "shop.yaml").write_text(text, "utf-8")
    return CliRunner().invoke(kb_check.command, [str(folder), *options], catch_exceptions=False)


@pytest.fixture
def clean(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """Options that lay the folder over a small base without slips: the shipped one takes seconds."""
    folder = tmp_path_factory.mktemp("clean")
    (folder / "base.yaml").write_bytes(CLEAN.read_bytes())
    return "--alone", str(folder)


def test_slips_of_meaning_are_told_all_at_once_and_end_with_1(
    tmp_path: Path, clean: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = check(tmp_path, TWO_SLIPS, *clean)
    assert result.exit_code == 1
    assert result.output.splitlines()[:2] == [
        "shop.yaml:2:3 tools borescope is used nowhere. Use it, or take it out. (unused)",
        "shop.yaml:4:3 references hearsay is used nowhere. Use it, or take it out. (unused)",
    ]
    assert result.output.splitlines()[2].startswith("2 slips in ")


def test_a_folder_without_slips_ends_with_0(tmp_path: Path, clean: tuple[str, str]) -> None:
    result = check(tmp_path, "settings: {unlisted: {value: 0.03, about: ours}}\n", *clean)
    assert result.exit_code == 0
    assert result.output.startswith("No slips in ")


def test_slips_of_reading_end_with_3_and_say_that_the_meaning_was_not_checked(tmp_path: Path) -> None:
    slip = "faults:\n  positive_cable: {like: positive_cable, repair: replace_positve_cable}\n"
    result = check(tmp_path, slip)
    assert result.exit_code == 3
    first, last = result.output.splitlines()
    assert re.search(r"shop\.yaml:2:\d+ .* Did you mean replace_positive_cable.*\? \(unknown_id\)$", first)
    assert last.endswith("its meaning was not checked.")


def test_json_has_a_field_for_everything_in_the_line(tmp_path: Path, clean: tuple[str, str]) -> None:
    data = json.loads(check(tmp_path, TWO_SLIPS, "--json", *clean).output)
    assert data[0].pop("file").endswith("shop.yaml")
    assert data[0] == {
        "line": 2, "column": 3, "check": "unused", "entry": "tools/borescope",
        "message": "tools borescope is used nowhere", "advice": "Use it, or take it out",
    }  # fmt: skip


def test_annotations_name_file_line_and_check_and_escape_what_would_end_them(
    tmp_path: Path, clean: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    first = check(tmp_path, TWO_SLIPS, "--annotations", *clean).output.splitlines()[0]
    assert first.startswith("::error file=shop.yaml,line=2,col=3,title=unused::tools borescope")
    broken = check(tmp_path, "faults: {positive_cable: {like: 100%}}\n", "--annotations")
    assert "'100%25'" in broken.output


def test_a_whole_knowledge_base_can_be_checked_alone(tmp_path: Path) -> None:
    (tmp_path / "two.yaml").write_text(TWO_SLIPS, "utf-8")
    for words in (["--alone", str(tmp_path), "kb", "check"], ["kb", "check", "--alone", str(tmp_path)]):
        assert "the knowledge base has no" in CliRunner().invoke(cli, words).output


def test_the_folder_given_before_the_command_is_meant_where_none_is_given_after(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text(TWO_SLIPS, "utf-8")
    result = CliRunner().invoke(cli, ["--kb", str(tmp_path), "kb", "check"])
    assert result.exit_code == 1
    assert "borescope" in result.output


def test_checks_lists_every_check_with_its_first_sentence() -> None:
    output = CliRunner().invoke(kb_checks.command, []).output
    assert [line.split()[0] for line in output.splitlines()] == [known.id for known in CHECKS]


def test_a_check_is_explained_with_the_way_to_silence_it() -> None:
    output = CliRunner().invoke(kb_checks.command, ["shadowed"]).output
    assert "Bad::" in output
    assert 'shadowed: {entries: [id], because: "why it is intended"}' in output


def test_a_check_that_is_none_is_answered_with_a_near_spelling() -> None:
    assert "Did you mean shadowed?" in str(CliRunner().invoke(kb_checks.command, ["shadowd"]).exception)


def test_one_file_of_a_folder_is_checked_alone(tmp_path: Path, clean: tuple[str, str]) -> None:
    (tmp_path / "cases").mkdir()
    for name in ("a", "b"):
        text = f"tools: {{lamp_{name}: {{label: lamp {name}}}}}\n"
        (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
    result = CliRunner().invoke(kb_check.command, [str(tmp_path / "a.yaml"), *clean], catch_exceptions=False)
    assert result.exit_code == 1
    assert "lamp_a" in result.output
    assert "lamp_b" not in result.output


def test_watching_checks_again_when_a_file_is_saved(
    tmp_path: Path, clean: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "a.yaml"
    file.write_text("tools: {borescope: {label: borescope}}\n", "utf-8")
    texts = iter(["tools: {borescope: {lable: borescope}}\n", None])

    def save(seconds: float) -> None:
        text = next(texts)
        if text is None:
            raise KeyboardInterrupt  # what Ctrl-C does while it waits
        file.write_text(text, "utf-8")

    monkeypatch.setattr("crankpath.shell.commands.kb.check.time.sleep", save)
    output = CliRunner().invoke(kb_check.command, [str(tmp_path), "--watch", *clean]).output
    assert "tools borescope is used nowhere" in output
    assert "Saved: a.yaml" in output
    assert "tool borescope has no field 'lable'. Did you mean label?" in output
