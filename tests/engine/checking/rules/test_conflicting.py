"""Rules that tie and say different things."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


READS = {"low": "{between: [50, 150]}", "none": "{nothing: 1}"}


def rule(name: str, given: str, reads: str) -> str:
    start = f"  {name}: {{faults: [joint], measurements: [current], {given}reads: "
    return f"{start}{READS[reads]}, because: so}}\n"


def test_rules_that_exclude_each_other_are_fine(finds: Finds) -> None:
    rules = rule("a", "given: {duty: heavy}, ", "low") + rule("b", "given: {duty: light}, ", "none")
    assert finds("conflicting", "rules:\n" + rules) == []


def test_rules_that_tie_and_can_hold_together_are_told_with_the_case(finds: Finds) -> None:
    rules = rule("a", "given: {duty: heavy}, ", "low") + rule("b", "given: {wet: true}, ", "none")
    (told, *_) = finds("conflicting", "rules:\n" + rules)
    assert told.startswith("rules/b: rule b ties with a (shop.yaml:2:3) for joint (slight) and current")
    assert "with duty heavy, wet true, and they read differently" in told


def test_rules_that_tie_and_say_the_same_are_no_conflict(finds: Finds) -> None:
    rules = rule("a", "given: {duty: heavy}, ", "low") + rule("b", "given: {wet: true}, ", "low")
    assert finds("conflicting", "rules:\n" + rules) == []


def test_one_condition_more_decides(finds: Finds) -> None:
    rules = rule("a", "given: {duty: heavy}, ", "low") + rule(
        "b",
        "given: {wet: true, duty: heavy}, ",
        "none",
    )
    assert finds("conflicting", "rules:\n" + rules) == []
