"""Forms of a word are one, and a misspelt word is mended where one known word is near."""

from __future__ import annotations

import pytest

from crankpath.shell.reader.pieces.stemming import NearSpellings, Stemmer

STEMMER = Stemmer(["ing", "ed", "ly", "s"], {"positive": ["pos"], "ground": ["gnd", "earth"]})


@pytest.mark.parametrize("word", ["clicking", "clicked", "Clicks", "click"])
def test_forms_of_a_word_are_one(word: str) -> None:
    assert STEMMER.stem(word) == "click"


def test_a_silent_e_makes_no_other_word() -> None:
    assert STEMMER.stem("wiggle") == STEMMER.stem("wiggling") == STEMMER.stem("wiggled")


def test_spellings_are_those_of_the_tables() -> None:
    assert STEMMER.stem("POS") == STEMMER.stem("positive")
    assert STEMMER.stem("earthing") == "ground"


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("crnaking", "cranking"), ("batery", "battery"), ("terminl", "terminal"), ("disconect", "disconnect")],
)
def test_a_slip_is_mended(typed: str, meant: str) -> None:
    near = NearSpellings(["cranking", "battery", "terminal", "disconnect", "solenoid"])
    assert near.nearest(typed) == meant


@pytest.mark.parametrize("typed", ["pst", "xattery", "tractor", "q" * 5000])
def test_another_word_is_left_alone(typed: str) -> None:
    assert NearSpellings(["battery", "post"]).nearest(typed) is None
