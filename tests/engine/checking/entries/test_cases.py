"""Case files that cannot be tried."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from crankpath.engine.checking.entries.cases import check
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.records import Knowledge

CASE = """about: a bad joint
readings: {%s: 0.9 V}
expect:
  first: %s
"""


Laid = Callable[..., Knowledge]


def found(laid: Laid, tmp_path: Path, *names: str) -> list[tuple[int, str]]:
    cases = tmp_path / "base" / "cases"
    kb = laid()
    cases.mkdir(exist_ok=True)
    (cases / "one.yaml").write_text(CASE % names, "utf-8")
    return [(p.origin.line, p.message) for p in check(Survey(kb))]


def test_a_case_of_known_names_is_fine(laid: Laid, tmp_path: Path) -> None:
    assert found(laid, tmp_path, "joint_drop", "joint") == []


def test_a_reading_that_is_not_there_is_told(laid: Laid, tmp_path: Path) -> None:
    assert found(laid, tmp_path, "join_drop", "joint") == [(2, "there is no measurement 'join_drop'")]


def test_a_fault_that_is_not_there_is_told_at_its_line(laid: Laid, tmp_path: Path) -> None:
    assert found(laid, tmp_path, "joint_drop", "joints") == [(4, "there is no fault 'joints'")]


def test_a_repair_that_does_not_cure_what_is_expected_is_told(laid: Laid, tmp_path: Path) -> None:
    assert found(laid, tmp_path, "joint_drop", "joint\n  repair: clean_joint") == []
    assert found(laid, tmp_path, "joint_drop", "joint\n  repair: replace_cable") == [
        (5, "replace_cable does not cure joint, which is expected first")
    ]
