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


def test_words_of_a_language_that_is_not_read_are_told(finds: Finds) -> None:
    words = "words: {talk: {language: german, names: {joint_drop: [verlust]}}}\n"
    assert finds("unused", words) == ["words/talk: words talk: no texts are read in a language 'german'"]


def test_a_degree_nearly_called_as_another_is_told(finds: Finds) -> None:
    fault = "faults: {joint: {like: joint, degrees: {slight: 0.7, opne: 0.3}}}\n"
    assert finds("unused", fault) == [
        "faults/joint: faults joint: no rule and no other fault names a degree 'opne'"
    ]
