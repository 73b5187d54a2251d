"""Fact rules that say nothing, contradict each other, or rest on themselves."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Finds = Callable[..., list[str]]

ICED = "a: {when: {air: {below: 0}}, then: {iced: true}, because: so}"
OPPOSITE = (
    "b: {when: {duty: heavy}, then: {iced: false}, because: so}\n"
    "  c: {when: {iced: true}, warn: Ice., because: so}"
)
CIRCLE = (
    "b: {when: {iced: true}, then: {slippery: true}, because: so}\n"
    "  c: {when: {slippery: true}, then: {iced: true}, because: so}"
)
RULES = [
    ("a: {when: {air: {below: 0}}, because: so}", "has no consequence"),
    (ICED.replace("iced", "wet"), "derives wet, which is a property of the machine"),
    ("a: {when: {iced: true}, then: {iced: true}, because: so}", "never begins: iced follows from"),
    (f"{ICED}\n  {OPPOSITE}", "makes iced false where a ("),
    (f"{ICED}\n  {CIRCLE}", "once started, it keeps itself up"),
    (ICED, "derives iced, which nothing asks for"),
]


@pytest.mark.parametrize(("rules", "says"), RULES)
def test_a_rule_that_says_nothing_true_is_told_once(finds: Finds, rules: str, says: str) -> None:
    told = finds("derived", f"facts:\n  {rules}\n")
    assert len(told) == 1, told
    assert says in told[0]


def test_rules_that_exclude_each_other_by_unless_are_fine(finds: Finds) -> None:
    rules = (
        "facts:\n  a: {when: {air: {below: 0}}, then: {iced: true}, because: so}\n"
        "  b: {when: {duty: heavy}, unless: {air: {below: 0}}, then: {iced: false}, because: so}\n"
        "  c: {when: {iced: true}, warn: Ice., because: so}\n"
    )
    assert finds("derived", rules) == []
