from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.errors import CaseError
from crankpath.shell.outlets.messages.parts import LEAST_LIMIT, in_parts

SENTENCES = st.lists(st.text(alphabet="abc d.", min_size=1, max_size=200), max_size=12)


def together(parts: tuple[str, ...]) -> str:
    if len(parts) == 1:
        return parts[0]
    for number, part in enumerate(parts, 1):
        assert part.startswith(f"{number}/{len(parts)} ")
    return " ".join(part.split(" ", 1)[1] for part in parts)


def test_what_fits_goes_in_one_message_without_a_number() -> None:
    assert in_parts(("Key out.",), ("Read it.",), 160) == ("Key out. Read it.",)


def test_several_parts_are_numbered_and_ask_whether_all_arrived() -> None:
    sentences = ("Brake on, wheels chocked.", "Everybody clear of the machine.")
    assert in_parts(sentences, ("Crank for 3 s.",), 70) == (
        "1/2 Brake on, wheels chocked. Everybody clear of the machine.",
        "2/2 Got all 2 messages? Then: Crank for 3 s.",
    )


def test_a_sentence_stays_whole_where_it_fits() -> None:
    sentences = [f"Caution number {n}, as it stands." for n in range(30)]
    parts = in_parts(sentences, ("Go.",), 100)
    assert all(any(sentence in part for part in parts) for sentence in sentences)


def test_the_number_of_parts_may_have_two_or_three_digits() -> None:
    assert len(in_parts(["word " * 13] * 9, (), 70)) == 9
    assert in_parts(["word " * 12] * 150, (), 70)[-1].startswith("150/150 ")


def test_a_limit_that_cuts_cautions_apart_is_refused() -> None:
    with pytest.raises(CaseError, match="use 70 or more"):
        in_parts(("a",), ("b",), LEAST_LIMIT - 1)


@given(SENTENCES, SENTENCES, st.integers(LEAST_LIMIT, 480))
def test_no_part_is_too_long_and_no_word_is_lost(first: list[str], then: list[str], limit: int) -> None:
    parts = in_parts(first, then, limit)
    assert all(len(part) <= limit for part in parts)
    if parts:
        text = re.sub(r"(^| )Got all \d+ messages\? Then:", "", together(parts))
        assert text.replace(" ", "") == "".join((*first, *then)).replace(" ", "")
