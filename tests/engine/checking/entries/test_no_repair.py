"""Repairs that do not say what to do."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


def test_a_repair_with_steps_and_minutes_is_fine(finds: Finds) -> None:
    assert finds("no_repair") == []


def test_a_repair_without_steps_is_told(finds: Finds) -> None:
    assert finds("no_repair", old="steps: [off, brush, on], ", new="") == [
        "repairs/clean_joint: repair clean_joint (of joint) has no steps"
    ]


def test_a_repair_of_no_minutes_is_told(finds: Finds) -> None:
    (told,) = finds("no_repair", old="minutes: 15", new="minutes: 0")
    assert told.endswith("has no minutes")
