"""Faults whose work warns of nothing."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


def test_a_caution_of_the_repair_is_enough(finds: Finds) -> None:
    assert finds("no_caution") == []


def test_a_fault_whose_repair_has_none_either_is_told(finds: Finds) -> None:
    old = "steps: [off, brush, on], minutes: 15, cautions: [ground_off]"
    assert finds("no_caution", old=old, new="steps: [off, brush, on], minutes: 15") == [
        "faults/joint: neither fault joint nor its repair clean_joint names a caution"
    ]
