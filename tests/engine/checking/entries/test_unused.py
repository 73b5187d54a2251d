"""Entries that nothing names."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Finds = Callable[..., list[str]]


def test_entries_that_are_named_somewhere_are_fine(finds: Finds) -> None:
    assert finds("unused") == []


@pytest.mark.parametrize(
    ("section", "entry"),
    [
        ("references", "{title: a book, standing: published}"),
        ("setups", "{label: on the lift}"),
        ("cautions", "{text: Hot., short: Hot., source: [shop]}"),
        ("tools", "{label: lamp}"),
        ("states", "{label: rested}"),
        ("points", "{label: elsewhere}"),
        ("repairs", "{label: replace all, minutes: 900}"),
        ("segments", "{label: far wire, ends: [stud, post], circuit: main, kind: cable}"),
    ],
)
def test_an_entry_that_nothing_names_is_told(finds: Finds, section: str, entry: str) -> None:
    assert finds("unused", f"{section}: {{odd: {entry}}}\n") == [
        f"{section}/odd: {section} odd is used nowhere"
    ]
