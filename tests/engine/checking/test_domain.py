"""What conditions can tell apart, tried with as few combinations as that takes."""

from __future__ import annotations

from itertools import pairwise

import pytest

from crankpath.engine.checking.domain import Domain
from crankpath.engine.checking.placed_conditions import placed_conditions
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.records import Knowledge

CONDITIONS = 40


@pytest.fixture
def several(shipped: Knowledge) -> list[tuple[Condition, ...]]:
    """Pairs of conditions of the shipped knowledge that stand behind each other."""
    found = [placed.condition for placed in placed_conditions(shipped)]
    return list(pairwise(found[:CONDITIONS]))


def test_every_answer_is_met_first_by_the_facts_that_meet_it_first_of_all(
    shipped: Knowledge, several: list[tuple[Condition, ...]]
) -> None:
    domain, fewer = Domain(shipped), 0
    for conditions in several:
        every = list(domain.grid({name for one in conditions for name in one.names()}) or ())
        told = list(domain.told_apart(conditions) or ())
        first, of_all = (
            {tuple(one.holds(facts) for one in conditions): facts for facts in reversed(some)}
            for some in (told, every)
        )
        assert first == of_all
        fewer += len(told) < len(every)
    assert fewer > CONDITIONS / 4
