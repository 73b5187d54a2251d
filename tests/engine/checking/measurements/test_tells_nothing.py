"""Measurements nothing can be learnt from."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


SMELL = """measurements:
  smell: {label: smell, asks: Does it smell?, group: looks, values: [none, strong], healthy: {none: 0.9},
    state: cranking, minutes: 1, source: [shop]}
"""


def test_a_measurement_that_no_rule_and_no_condition_looks_at_is_told(finds: Finds) -> None:
    assert finds("tells_nothing", SMELL) == [
        "measurements/smell: measurement smell can tell nothing: no rule makes a fault change it"
    ]


def test_a_rule_that_says_the_healthy_reading_does_not_help(finds: Finds) -> None:
    rule = "rules:\n  r: {faults: [worn], measurements: [smell], reads: {none: 0.9}, because: so}\n"
    assert len(finds("tells_nothing", SMELL + rule)) == 1


def test_one_rule_is_enough(finds: Finds) -> None:
    rule = "rules:\n  r: {faults: [worn], measurements: [smell], reads: {strong: 0.9}, because: so}\n"
    assert finds("tells_nothing", SMELL + rule) == []


def test_so_is_a_condition_of_a_fact_rule(finds: Finds) -> None:
    fact = "facts:\n  f: {when: {smell: strong}, warn: Air the room., because: so}\n"
    assert finds("tells_nothing", SMELL + fact) == []
