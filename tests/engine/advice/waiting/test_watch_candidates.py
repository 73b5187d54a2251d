"""What meters read together on one crank."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.engine import Case
from crankpath.engine.advice.waiting.watch_candidates import WatchCandidates

CaseOf = Callable[..., Case]
LEG, POST, OTHER = "positive_leg_drop", "positive_post_drop", "negative_leg_drop"


@pytest.fixture
def shown(case_of: CaseOf) -> WatchCandidates:
    advisor = case_of("occurrence intermittent", "crank_behaviour slow").advisor
    return WatchCandidates(advisor.options, advisor.leading)


@pytest.mark.parametrize("names", [(LEG,), (LEG, OTHER), (LEG, POST), (LEG, POST, OTHER)])
def test_what_is_read_together_has_chances(shown: WatchCandidates, names: tuple[str, ...]) -> None:
    for rows in (shown.outcomes(names), shown.bands(names)[1]):
        assert [sum(row) for row in rows] == pytest.approx([1.0] * len(rows), abs=1e-6)


def test_a_leg_beside_its_part_tells_what_the_part_leaves_of_it(shown: WatchCandidates) -> None:
    """A bad post alone: the post reads it, and nothing is left of the leg that another joint would read."""
    order, rows = shown.bands((LEG, POST))
    bands = [shown.leading.assessment.model.measurements[name].bands for name in order]
    model = shown.leading.assessment.model
    (bad,) = (
        row
        for members, row in zip(shown.leading.left(LEG), rows, strict=True)
        if [(model.elements[m].fault, model.elements[m].degree) for m in members]
        == [("positive_post_joint", "bad")]
    )
    lower = {
        pair: chance
        for pair, chance in zip([(a, b) for a in bands[0] for b in bands[1]], bad, strict=True)
        if bands[0].index(pair[0]) < bands[1].index(pair[1])
    }
    assert sum(lower.values()) < 0.2


def test_what_was_read_at_one_failure_can_be_read_at_the_next(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent", "crank_behaviour slow")
    case.record(LEG, "2.1 V")
    advisor = case.advisor
    again = WatchCandidates(advisor.options, advisor.leading)
    assert LEG in again.candidates
    assert LEG not in {m.id for m in advisor.options.to_watch}
