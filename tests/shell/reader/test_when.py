"""When the complaint shows is told by phrases that mean it, never by a word that happens to be there."""

from __future__ import annotations

import pytest
from shipped_base import shipped_knowledge

from crankpath.shell.reader.when import when_named, when_said

KB = shipped_knowledge()


@pytest.mark.parametrize("text", ["engine does not crank", "comes and goes", "clicks after I turn the key"])
def test_common_words_of_a_complaint_mean_no_fact(text: str) -> None:
    assert when_said(KB, text) == frozenset()


@pytest.mark.parametrize(
    ("text", "fact"),
    [
        ("only does it when hot", "when_hot"),
        ("won't crank on cold mornings", "when_cold"),
        ("always after rain", "when_wet"),
        ("after it stands over night", "after_standing"),
        ("dies on rough ground", "over_bumps"),
        ("only after it has been worked hard and parked for a while", "when_hot"),
        ("since it has been steam cleaned", "when_wet"),
        ("on damp days", "when_wet"),
        ("after bouncing down the track", "over_bumps"),
        ("when the lights and heater are on", "under_load"),
        ("dead when left standing", "after_standing"),
        ("startet morgens nicht", "after_standing"),
    ],
)
def test_a_phrase_that_means_it_is_heard(text: str, fact: str) -> None:
    assert fact in when_said(KB, text)


def test_one_word_answers_the_question() -> None:
    assert when_named(KB, "rain", KB.equipment) == {"when_wet"}
