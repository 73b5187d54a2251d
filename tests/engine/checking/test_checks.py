"""The table of checks: complete, explained, documented."""

from __future__ import annotations

from pathlib import Path

import pytest

import crankpath.engine.checking as checking
from crankpath.engine.checking.checks import CHECKS, Check


def test_every_module_in_a_room_of_checks_is_in_the_table() -> None:
    folder = Path(next(iter(checking.__path__)))
    modules = {file.stem for file in folder.glob("*/*.py") if file.stem != "__init__"}
    assert {check.id for check in CHECKS} == modules


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_every_check_says_what_why_and_shows_a_bad_and_a_good_example(check: Check) -> None:
    assert check.title.endswith(".")
    for part in ("\nWhat: ", "\nWhy: ", "\nBad::\n", "\nGood::\n"):
        assert part in check.explanation


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_every_check_has_a_test_of_its_own(check: Check) -> None:
    found_by_loading = {"unreadable", "structure", "unknown_id", "duplicate_id", "condition"}
    assert check.id in found_by_loading or list(Path(__file__).parent.glob(f"*/test_{check.id}.py"))
