"""Replies to a message with several questions."""

from __future__ import annotations

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.reader.numbered import answers_in, read_answers

ASKED = ("battery_rest_voltage", "battery_pair_difference", "positive_post_inspection")


def read(kb: Knowledge, text: str) -> list[tuple[int, object, bool | None]]:
    """(place of the question, value, symptom) of what is taken."""
    found = read_answers(text, kb, None, ASKED)
    assert not found.asked, found.asked
    return [(ASKED.index(p.measurement), p.understood.value, p.symptom) for p in found.taken]


@pytest.mark.parametrize(
    "text",
    [
        "1 12.6, 2 .1, 3 corroded", "1) 12.6\n2) 0.1 V\n3) 2", "1. 12.6 2. 100mV 3. corroded",
        "1: 12,6; 2: 0,1; 3: co", "#1 12.6 V, #2 0.1, #3 corr", "1 12.6 2 0.1 3 corroded",
        "12.6, 0.1, corroded", "1 12.6v\n2 100 mv\n3 corroded\n",
    ],
)  # fmt: skip
def test_each_answer_goes_to_its_question(shipped: Knowledge, text: str) -> None:
    assert read(shipped, text) == [(0, 12.6, None), (1, 0.1, None), (2, "corroded", None)]


def test_some_may_be_missing_or_cannot_be_taken(shipped: Knowledge) -> None:
    assert read(shipped, "2 0.1") == [(1, 0.1, None)]
    assert read(shipped, "1 12.6, 3 loose") == [(0, 12.6, None), (2, "loose", None)]
    found = read_answers("1 12.6, 2 n/a, 3 loose", shipped, None, ASKED)
    assert [name for name, _ in found.cannot] == ["battery_pair_difference"]


def test_a_sentence_at_the_end_speaks_for_all_and_one_within_for_its_own(shipped: Knowledge) -> None:
    assert read(shipped, "1 12.6, 2 0.1. Cranked well each time") == [(0, 12.6, False), (1, 0.1, False)]
    assert read(shipped, "1 12.6 while it failed, 2 0.1") == [(0, 12.6, True), (1, 0.1, None)]


def test_a_letter_that_begins_a_value_is_that_value(shipped: Knowledge) -> None:
    assert read(shipped, "3 l") == [(2, "loose", None)]  # not the twelfth
    assert read(shipped, "3 a") == [(2, "clean_tight", None)]


@pytest.mark.parametrize("text", ["12.6 V", "1 of 3 tries failed, 12.6", "failed 1 in 3", "pos leg 1 V", ""])
def test_other_texts_are_not_numbered(text: str) -> None:
    assert answers_in(text, 3) == {}


def test_what_is_not_numbered_answers_the_first_question(shipped: Knowledge) -> None:
    assert read(shipped, "12.6 V") == [(0, 12.6, None)]
