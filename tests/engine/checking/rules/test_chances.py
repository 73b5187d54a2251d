"""Chances that fit the values of every observation they are used for, and ranges that fit meters."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


RULE = """measurements:
  behaviour: {like: behaviour, kinds: [observation, symptom, look]}
  glow: {label: glow, asks: Does it glow?, group: looks, kinds: [look], values: [none, silent],
    healthy: {none: 0.9}, state: cranking, minutes: 1}
rules:
  odd: {faults: [worn], measurements: {kinds: [%s]}, reads: %s, because: so}
"""


def test_values_that_all_observations_of_the_kind_have_are_fine(finds: Finds) -> None:
    assert finds("chances", RULE % ("look", "{silent: 0.9}")) == []


def test_a_value_that_one_observation_of_the_kind_lacks_is_told_once(finds: Finds) -> None:
    base = {"old": "values: [normal, slow, silent]", "new": "values: [normal, slow, silent, clicks]"}
    rule = RULE.replace("measurements: {kinds: [%s]}", "measurements: {kinds: [%s]}, where: clear_of")
    (told,) = finds("chances", rule % ("look", "{clicks: 0.9}"), **base)
    assert told.startswith("rules/odd: rule odd does not fit glow")
    assert "'clicks' is no band here" in told


def test_a_range_of_what_is_seen_and_read_is_told_for_what_is_seen(finds: Finds) -> None:
    mixed = RULE.replace("kinds: [look]", "kinds: [loaded_drop]")
    (told,) = finds("chances", mixed % ("loaded_drop", "{between: [0.4, 3]}"))
    assert told.startswith("rules/odd: rule odd does not fit glow, which it speaks of: ")
    assert told.endswith("it states a range, and this is an observation")
