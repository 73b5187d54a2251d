"""How alike two spellings are."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.knowledge.problems import near
from crankpath.engine.likeness import LIKELY, POSSIBLE, SAME, alike, nearest
from crankpath.engine.typed.spelling import closest, match_name


@given(st.text(max_size=20), st.text(max_size=20))
def test_likeness_lies_between_none_and_all(a: str, b: str) -> None:
    assert 0 <= alike(a, b) <= 1
    assert alike(a, a) == 1


def test_the_nearest_come_best_first_and_none_below_the_cutoff() -> None:
    assert nearest("positve_post", ["negative_post", "positive_post", "positive_cable"], POSSIBLE, 3)[0] == (
        "positive_post"
    )
    assert nearest("xyz", ["positive_post"]) == []


def test_what_is_taken_without_asking_is_nearer_than_what_is_named() -> None:
    assert POSSIBLE < LIKELY < SAME


def test_advice_and_names_hold_the_same_spelling_for_likely() -> None:
    word, name = "crank sped", "crank speed"
    assert alike(word, name) >= LIKELY
    assert near(word, [name]) == "Did you mean crank speed?"
    assert match_name(word, {"crank_speed": (name,)}).sure == "crank_speed"
    assert closest(word, {"crank_speed": (name,)}) == ("crank_speed",)
