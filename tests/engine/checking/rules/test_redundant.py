"""Rules without which the same would be expected."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


RULE = "rules:\n  odd: {faults: [%s], degrees: [slight], measurements: [%s], reads: %s, because: so}\n"


def test_a_rule_that_says_something_else_than_the_wide_one_is_fine(finds: Finds) -> None:
    assert finds("redundant", RULE % ("joint", "joint_drop", "{high: 0.6, full: 0.3}")) == []


def test_a_copy_of_the_wide_rule_is_told(finds: Finds) -> None:
    assert finds("redundant", RULE % ("joint", "joint_drop", "{low: 0.05, high: 0.85, full: 0.1}")) == [
        "rules/odd: rule odd changes nothing: without it rule slight_shows says the same"
    ]


def test_a_rule_that_says_what_a_healthy_circuit_reads_is_told(finds: Finds) -> None:
    (told,) = finds("redundant", RULE % ("joint", "current", "{none: 0.01, low: 0.05, normal: 0.94}"))
    assert told.endswith("without it the healthy reading says the same")


def test_a_mask_is_not_nothing(finds: Finds) -> None:
    rule = RULE % ("joint", "joint_drop", "{low: 0.05, high: 0.85, full: 0.1}")
    assert finds("redundant", rule.replace("because", "masks: 2, because")) == []
