"""Texts and files that are not read as they were meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.checking.checks import check_folders
from crankpath.engine.knowledge.folders import passed_over
from crankpath.engine.knowledge.yaml_source import read_yaml

CLEAN = Path(__file__).parents[1] / "clean.yaml"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("because: Seen on truck #4 and others.", "the text ends before the sign #: '#4 and others.'"),
        ("because: “Seen twice.”", "the typographic quote “ became part of the text"),
    ],
)
def test_a_text_that_lost_a_part_is_told(text: str, says: str) -> None:
    (doubt,) = read_yaml(text, "f.yaml").doubts
    assert says in str(doubt)


@pytest.mark.parametrize(
    "text", ["kind: joint # of the starter", 'because: "Seen on truck #4."', "of: 4 # in all"]
)
def test_a_comment_behind_a_word_is_no_slip(text: str) -> None:
    assert read_yaml(text, "f.yaml").doubts == ()


@pytest.mark.parametrize(
    ("name", "told"),
    [("a.YAML", True), ("a.yaml.txt", True), ("_a.yaml", True), ("cases/a.yaml", True), ("notes.txt", False),
     ("a.yaml~", True), ("base.yaml~", False), (".a.yaml.swp", False)],
)  # fmt: skip
def test_a_file_with_knowledge_that_is_not_read_is_told(tmp_path: Path, name: str, told: bool) -> None:
    (tmp_path / "cases").mkdir()
    (tmp_path / "base.yaml").write_text(CLEAN.read_text("utf-8"), "utf-8")
    text = "Buy lamps.\n" if name == "notes.txt" else "tools:\n  lamp: {label: lamp}\n"
    (tmp_path / name).write_text(text, "utf-8")
    assert [problem.origin.file for problem in passed_over(tmp_path)] == ([name] if told else [])
    _, problems = check_folders(tmp_path, shipped=False)
    assert [p.origin.file for p in problems if p.check == "text"] == ([name] if told else [])
