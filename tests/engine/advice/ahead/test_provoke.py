"""Ways to bring a hidden fault on: what was told first, then what moves most of the suspects."""

from __future__ import annotations

import pytest

from crankpath.engine.advice.ahead.provoke import provocations
from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge


def at(kb: Knowledge, **equipment: bool) -> Case:
    case = Case(kb, equipment)
    case.record("crank_behaviour", "slow")
    case.record("occurrence", "intermittent")
    return case


def test_what_was_told_comes_first_and_what_was_denied_is_left_out(kb: Knowledge) -> None:
    ways = provocations(at(kb, when_hot=True, when_wet=False).assessment)
    assert [way.fact for way in ways if way.told] == ["when_hot"]
    assert ways[0].fact == "when_hot"
    assert "when_wet" not in {way.fact for way in ways}


def test_the_most_telling_way_is_the_one_that_moves_the_suspects(kb: Knowledge) -> None:
    ways = {way.fact: way.chance for way in provocations(at(kb).assessment)}
    assert max(ways, key=lambda fact: ways[fact]) in ("over_bumps", "after_standing", "when_cold")
    assert all(0.0 <= chance <= 1.0 for chance in ways.values())


def test_the_chance_is_the_part_of_the_share_that_the_condition_adds(kb: Knowledge) -> None:
    """Of 10 complaints over bumps 7 come without: 0.3 of them are put down to the bumps."""
    case = at(kb)
    case.record("positive_post_drop", "2.1 V")
    case.record("positive_post_drop", "2.2 V")
    [way] = [way for way in provocations(case.assessment) if way.fact == "over_bumps"]
    assert way.chance == pytest.approx(0.3, abs=0.03)
