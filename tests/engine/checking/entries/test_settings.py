"""Settings that exclude each other."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


def test_of_two_settings_the_one_that_must_be_smaller_is(finds: Finds) -> None:
    assert finds("settings") == []
    (told,) = finds("settings", "settings: {likely_enough: {value: 0.95}}\n")
    assert told.startswith("settings/proven_at: setting proven_at is 0.9, and likely_enough is 0.95")
