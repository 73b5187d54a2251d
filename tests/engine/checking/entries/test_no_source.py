"""Entries that do not say where they come from."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Finds = Callable[..., list[str]]


def test_entries_with_sources_are_fine(finds: Finds) -> None:
    assert finds("no_source") == []


@pytest.mark.parametrize(
    ("old", "entry"),
    [
        ("proof: current, source: [shop]", "faults worn"),
        ("short: Ground off first., source: [shop]", "cautions ground_off"),
        ("because: The motor gets less.\n    source: [shop]", "rules slight_is_slow"),
        ("because: A drop needs current.\n    source: [shop]", "facts absent_is_told"),
        ("because: for the test, source: [shop]", "balances run"),
        ("minutes: 60, cautions: [ground_off], source: [shop]", "repairs replace_starter"),
    ],
)
def test_an_entry_without_one_is_told(finds: Finds, old: str, entry: str) -> None:
    new = old.replace(", source: [shop]", "").replace("\n    source: [shop]", "")
    assert finds("no_source", old=old, new=new) == [f"{entry.replace(' ', '/')}: {entry} names no source"]
