"""Limits that name no source."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


def test_limits_with_sources_are_fine(finds: Finds) -> None:
    assert finds("limit_source") == []


def test_a_set_without_one_is_told(finds: Finds) -> None:
    assert finds("limit_source", old="- {at: [10, 200], source: [shop]}", new="- {at: [10, 200]}") == [
        "measurements/current: current limits: this set names no source"
    ]
