"""Masks of a rank that no other rule has."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]

RULE = (
    "  %s: {faults: [joint], measurements: [joint_drop], given: {duty: %s}, reads: {between: [1, "
    "3]}, masks: %d, because: so}\n"
)
SHARED = "rules:\n" + RULE % ("a", "light", 30) + RULE % ("b", "heavy", 30)


def test_a_rank_of_its_own_is_told_with_the_one_that_was_meant(finds: Finds) -> None:
    assert finds("lone_mask", SHARED) == []
    told = finds("lone_mask", SHARED + RULE % ("c", "heavy", 4))
    assert told == ["rules/c: rule c: no other rule masks with rank 4"]
