"""Safeguards that a shop's folder takes out."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.checking.checks import check_folders

KEPT = "facts: {locked_engine_is_not_cranked: {like: locked_engine_is_not_cranked, warn: Stop.}}\n"
LOST = [
    ("retire: {facts: [locked_engine_is_not_cranked]}\n", "locked_engine_is_not_cranked keeps people"),
    (KEPT.replace("warn: Stop.", "then: {}"), "no longer has not_to_be_cranked in 'then'"),
    (KEPT.replace("warn: Stop.", "caution: []"), "no longer has hydrolock_bar_over in 'caution'"),
]


@pytest.mark.parametrize(("text", "says"), LOST)
def test_a_safeguard_taken_out_is_told_first(text: str, says: str, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(text, "utf-8")
    _, problems = check_folders(tmp_path)
    assert problems[0].check == "lost_safety"
    assert problems[0].origin.file == "a.yaml"
    assert says in str(problems[0])


def test_other_words_for_the_same_safeguard_are_fine(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(KEPT, "utf-8")
    assert [str(problem) for problem in check_folders(tmp_path)[1]] == []
