"""Safeguards that a shop's folder takes out."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.checking.acts import lost_safety
from crankpath.engine.checking.checks import check_folders
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.problems import Problem

KEPT = "facts: {locked_engine_is_not_cranked: {like: locked_engine_is_not_cranked, warn: Stop.}}\n"
LOST = [
    ("retire: {facts: [locked_engine_is_not_cranked]}\n", "locked_engine_is_not_cranked keeps people"),
    (KEPT.replace("warn: Stop.", "then: {}"), "no longer has not_to_be_cranked in 'then'"),
    (KEPT.replace("warn: Stop.", "caution: []"), "no longer has hydrolock_bar_over in 'caution'"),
]


def told(folder: Path, text: str) -> list[Problem]:
    (folder / "a.yaml").write_text(text, "utf-8")
    kb, problems = read_knowledge(folder)
    assert kb is not None, problems
    return list(lost_safety.check(Survey(kb)))


@pytest.mark.parametrize(("text", "says"), LOST)
def test_a_safeguard_taken_out_is_told(text: str, says: str, tmp_path: Path) -> None:
    (problem,) = told(tmp_path, text)
    assert says in str(problem)


def test_other_words_for_the_same_safeguard_are_fine(tmp_path: Path) -> None:
    assert told(tmp_path, KEPT) == []


@pytest.mark.slow
def test_it_is_told_before_all_else_and_at_its_file(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(LOST[0][0], "utf-8")
    _, problems = check_folders(tmp_path)
    assert problems[0].check == "lost_safety"
    assert problems[0].origin.file == "a.yaml"
