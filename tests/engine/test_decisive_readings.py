"""Readings that an electrician takes as proof, `kb/cases/decisive`: believed at once, taken again surely."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from sampled import one_in

from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import CaseFile, ReadingEntry, load_case
from crankpath.engine.cases.replay import replay
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.records import Knowledge

CASES = sorted((shipped_folder() / "cases" / "decisive").glob("*.yaml"))
AT_ONCE = 0.9
TAKEN_AGAIN = 0.97


def chance(kb: Knowledge, written: CaseFile) -> float:
    """Chance of the repair that the case expects, or that its fault needs: a battery is charged first."""
    case = replay(kb, written).case
    assert isinstance(case, Case)
    assert written.expect is not None
    expected = written.expect.repair or kb.faults[str(written.expect.first)].repair
    return case.advisor.repair_chances[expected]


def taken_again(written: CaseFile) -> bool:
    """Is the last entry the one before it once more?"""
    *_, before, last = written.entries
    assert isinstance(before, ReadingEntry)
    assert isinstance(last, ReadingEntry)
    return (before.measurement, before.value) == (last.measurement, last.value)


def test_there_are_fifty_of_them() -> None:
    assert len(CASES) >= 50


@pytest.mark.parametrize("path", one_in(3, CASES), ids=lambda path: path.stem)
def test_a_decisive_reading_is_believed(kb: Knowledge, path: Path) -> None:
    written = load_case(path.read_text(encoding="utf-8"), path.name)
    if not taken_again(written):
        assert chance(kb, written) >= AT_ONCE
        return
    assert chance(kb, replace(written, entries=written.entries[:-1])) >= AT_ONCE
    assert chance(kb, written) >= TAKEN_AGAIN
