"""Fact rules in a circle."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


CIRCLE = """facts:
  dead: {when: {alive: yes_it_is}, then: {dead: yes_it_is}, because: so}
  alive: {when: {current: none}, %sthen: {alive: yes_it_is}, because: so}
"""


def test_a_chain_is_fine(finds: Finds) -> None:
    assert finds("fact_cycle", CIRCLE % "") == []


def test_rules_that_undo_each_other_are_told_at_the_first(finds: Finds) -> None:
    assert finds("fact_cycle", CIRCLE % "unless: {dead: yes_it_is}, ") == [
        "facts/dead: fact rules dead, alive never settle with current none: each undoes another"
    ]


def test_a_number_that_grows_without_end_is_told(finds: Finds) -> None:
    text = """facts:
  begins: {when: {current: none}, then: {first: {formula: "current"}}, because: so}
  grows: {when: {first: known}, then: {count: {formula: "first + max(count, 1)"}}, because: so}
  counts: {when: {current: none}, unless: {count: known}, then: {count: {formula: "1"}}, because: so}
"""
    (told,) = finds("fact_cycle", text)
    assert "grows" in told
    assert "never settle" in told


def test_a_circle_that_settles_is_fine(finds: Finds) -> None:
    text = """facts:
  a: {when: {b: known}, then: {a: one}, because: so}
  b: {when: {any: [{a: one}, {current: none}]}, then: {b: one}, because: so}
"""
    assert finds("fact_cycle", text) == []
