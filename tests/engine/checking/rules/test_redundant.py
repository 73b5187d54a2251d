"""Rules without which the same would be expected."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


RULE = "rules:\n  odd: {faults: [%s], degrees: [slight], measurements: [%s], reads: %s, because: so}\n"


def test_a_rule_that_says_something_else_than_the_wide_one_is_fine(finds: Finds) -> None:
    assert finds("redundant", RULE % ("joint", "joint_drop", "{between: [0.2, 1]}")) == []


def test_a_copy_of_the_wide_rule_is_told(finds: Finds) -> None:
    assert finds("redundant", RULE % ("joint", "joint_drop", "{between: [0.4, 4]}")) == [
        "rules/odd: rule odd changes nothing: without it rule slight_shows says the same"
    ]


def test_a_rule_that_says_what_a_healthy_circuit_reads_is_told(finds: Finds) -> None:
    (told,) = finds("redundant", RULE % ("joint", "current", "{between: [250, 500]}"))
    assert told.endswith("without it the healthy reading says the same")


def test_a_mask_is_not_nothing(finds: Finds) -> None:
    rule = RULE % ("joint", "joint_drop", "{between: [0.4, 4]}")
    assert finds("redundant", rule.replace("because", "masks: 2, because")) == []


def test_of_two_rules_that_say_the_same_the_later_is_told(finds: Finds) -> None:
    rule = RULE % ("joint", "joint_drop", "{between: [0.2, 1]}")
    twice = rule + rule.replace("rules:\n", "").replace("odd:", "again:")
    (told,) = finds("redundant", twice)
    assert told == "rules/again: rule again changes nothing: without it rule odd says the same"
