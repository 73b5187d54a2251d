"""Ways to bring a hidden fault on: what was told first, then what moves most of the suspects."""

from __future__ import annotations

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge


def at(kb: Knowledge, **equipment: bool) -> Case:
    case = Case(kb, equipment)
    case.record("crank_behaviour", "slow")
    case.record("occurrence", "intermittent")
    return case


def test_what_was_told_comes_first_and_what_was_denied_is_left_out(kb: Knowledge) -> None:
    ways = at(kb, when_hot=True, when_wet=False).provoke()
    assert [way.fact for way in ways if way.told] == ["when_hot"]
    assert ways[0].fact == "when_hot"
    assert "when_wet" not in {way.fact for way in ways}


def test_the_most_telling_way_is_the_one_that_moves_the_suspects(kb: Knowledge) -> None:
    ways = {way.fact: way.chance for way in at(kb).provoke()}
    assert max(ways, key=lambda fact: ways[fact]) in ("over_bumps", "after_standing", "when_cold")
    assert all(0.0 <= chance <= 1.0 for chance in ways.values())


def test_of_what_is_worth_trying_the_safest_comes_first(kb: Knowledge) -> None:
    worth = [way.way.danger for way in at(kb).provoke() if way.telling]
    assert len(worth) > 2
    assert worth == sorted(worth)


def test_every_condition_that_can_be_brought_on_moves_several_faults(kb: Knowledge) -> None:
    conditions = {fact.id for fact in kb.equipment.values() if fact.bring_on}
    named = {
        name: {f.id for f in kb.faults.values() for s in f.shares if s.given and name in s.given.names()}
        for name in conditions
    }
    assert {name: len(faults) >= 4 for name, faults in named.items()} == dict.fromkeys(conditions, True)


def test_nothing_is_brought_on_where_nobody_may_crank(kb: Knowledge) -> None:
    assert at(kb).provoke()
    assert not at(kb, people_at_machine=True).provoke()


def test_the_chance_is_the_part_of_the_share_that_the_condition_adds(kb: Knowledge) -> None:
    """Of 10 complaints over bumps 7 come without: 0.3 of them are put down to the bumps."""
    case = at(kb)
    case.record("positive_post_drop", "2.1 V")
    case.record("positive_post_drop", "2.2 V")
    [way] = [way for way in case.provoke() if way.fact == "over_bumps"]
    assert way.chance == pytest.approx(0.3, abs=0.03)
