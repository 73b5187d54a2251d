"""Many closed cases: which are read in full, and what all of them add up to."""

from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning import learner
from crankpath.engine.learning.closed_case import ClosedCase
from crankpath.engine.learning.learner import Learner


@pytest.fixture(autouse=True)
def _few(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(learner, "LATEST", 10)
    monkeypatch.setattr(learner, "OF_A_CAUSE", 4)


def taught(kb: Knowledge, causes: list[str]) -> Learner:
    found = Learner(kb)
    for number, cause in enumerate(causes):
        if found.wants((cause,)):
            case = Case(kb, {})
            case.record("crank_behaviour", "slow")
            found.take((cause,), ClosedCase(f"case {number}", case, ((cause,),)))
    return found


def test_the_latest_are_read_in_full_and_some_of_every_cause(small: Knowledge) -> None:
    found = taught(small, ["hot_cable"] * 40 + ["ground"] * 40)
    assert (found.cases, found.read, found.listener.cases) == (80, 14, 14)


def test_every_cause_counts_whether_its_case_was_read_or_not(small: Knowledge) -> None:
    found = taught(small, ["hot_cable"] * 40 + ["ground"] * 41)
    assert found.confirmed == {"hot_cable": pytest.approx(40), "ground": pytest.approx(41)}
    assert found.machines.count == pytest.approx(81)
