"""Rules that more specific ones always take the place of."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


WIDE = "rules:\n  wide: {faults: [joint], measurements: [current], reads: {between: [50, 90]}, because: so}\n"
NARROW = "  %s: {faults: [joint], degrees: [%s], measurements: [current], reads: {nothing: 1}, because: so}\n"


def test_a_rule_with_a_degree_left_to_it_is_fine(finds: Finds) -> None:
    assert finds("shadowed", WIDE + NARROW % ("a", "slight")) == []


def test_a_rule_of_which_every_degree_has_its_own_rule_is_told(finds: Finds) -> None:
    assert finds("shadowed", WIDE + NARROW % ("a", "slight") + NARROW % ("b", "open")) == [
        "rules/wide: rule wide is never in force: more specific rules always take its place (a, b)"
    ]


def test_a_more_specific_rule_with_a_condition_leaves_the_wide_one_its_part(finds: Finds) -> None:
    narrow = (
        WIDE.removeprefix("rules:\n")
        .replace("wide:", "narrow:")
        .replace("reads", "given: {duty: light}, reads")
    )
    assert finds("shadowed", WIDE + narrow) == []
