"""How often it failed, in figures and in words, as a number or as a range."""

from __future__ import annotations

import pytest
from shipped_base import shipped_knowledge

from crankpath.shell.reader.pieces.tallies import tally_in


@pytest.mark.parametrize(
    ("text", "low", "high", "of"),
    [
        ("failed 2 of 10", 2, 2, 10),
        ("2 or 3 of 10", 2, 3, 10),
        ("two or three of ten", 2, 3, 10),
        ("maybe two to three times out of ten", 2, 3, 10),
        ("2-3 out of 10 tries", 2, 3, 10),
        ("one in five", 1, 1, 5),
        ("3/10", 3, 3, 10),
        ("every third time", 1, 1, 3),
        ("zwei oder drei von zehn", 2, 3, 10),
        ("jedes dritte Mal", 1, 1, 3),
    ],
)
def test_a_tally_is_read_with_its_range(text: str, low: int, high: int, of: int) -> None:
    found = tally_in(text, shipped_knowledge())
    assert found is not None
    assert (found.low, found.high, found.of) == (low, high, of)


@pytest.mark.parametrize("text", ["12 of 10", "0.4 of 10", "two or three volts", "every time", ""])
def test_what_counts_no_tries_is_no_tally(text: str) -> None:
    assert tally_in(text, shipped_knowledge()) is None


def test_the_low_end_counts_and_the_words_are_kept() -> None:
    found = tally_in("two or three of ten", shipped_knowledge())
    assert found is not None
    assert found.body() == {"failures": 2, "of": 10, "note": "told: 2 to 3 of 10; the low end counts"}
