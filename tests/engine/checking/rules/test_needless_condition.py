"""Conditions that distinguish nothing."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


RULE = "rules:\n  odd: {faults: [joint], measurements: [current], %sreads: {nothing: 1}, because: so}\n"


def test_a_condition_that_can_fail_is_fine(finds: Finds) -> None:
    assert finds("needless_condition", RULE % "given: {duty: heavy}, unless: {wet: true}, ") == []


def test_every_value_of_a_fact_is_told(finds: Finds) -> None:
    assert finds("needless_condition", RULE % "given: {duty: [light, heavy]}, ") == [
        "rules/odd: odd given: what it says of duty always holds"
    ]


def test_both_answers_of_a_fact_that_can_stay_unknown_are_fine(finds: Finds) -> None:
    assert finds("needless_condition", RULE % "given: {wet: [true, false]}, ") == []


def test_an_unless_that_excludes_the_given_is_told(finds: Finds) -> None:
    (told,) = finds("needless_condition", RULE % "given: {duty: heavy}, unless: {duty: light}, ")
    assert told == "rules/odd: odd: its 'unless' never holds when the rule does, so it stops nothing"
