"""Completion is a function of the text before the cursor."""

from __future__ import annotations

import pytest

from crankpath.shell.session.input.completion import Vocabulary, suggestions

WORDS = Vocabulary(
    commands={"new": "", "note": "", "skip": "readings", "why": "both", "machine": "facts"},
    answers=("done",),
    names={
        "readings": ("neg leg", "pos leg", "neg post", "battery rest"),
        "both": ("neg leg", "worn brushes"),
        "facts": ("system voltage 24", "start relay true"),
    },
)


@pytest.mark.parametrize(
    ("before", "texts"),
    [
        ("", []),
        ("   ", []),
        ("ne", ["new", "neg leg", "neg post"]),
        ("NE", ["new", "neg leg", "neg post"]),
        ("neg l", ["neg leg"]),
        ("n l", ["neg leg"]),
        ("leg", ["neg leg", "pos leg"]),
        ("do", ["done"]),
        ("skip ne", ["neg leg", "neg post"]),
        ("skip ", []),
        ("new ne", []),
        ("why wo", ["worn brushes"]),
        ("note ne", []),
        ("machine 24 V, start", ["start relay true"]),
        ("neg leg 310 mV, pos", ["pos leg"]),
        ("zzz", []),
        ("\x00\x1b", []),
    ],
)
def test_what_is_suggested(before: str, texts: list[str]) -> None:
    assert [text for text, _ in suggestions(before, WORDS)] == texts


def test_what_is_typed_of_a_name_is_replaced_by_it() -> None:
    assert suggestions("neg leg 310 mV, ba", WORDS) == [("battery rest", 2)]
    assert suggestions("skip neg p", WORDS) == [("neg post", 5)]
