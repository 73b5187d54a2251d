"""Conditions answer yes, no or unknown."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.knowledge.condition import All, Any, Compares, Condition, Facts, Is, Known, NoneOf

NAMES = ("volts", "amps", "fuel", "disconnect")
BANDS = ("low", "near", "high")

names = st.sampled_from(NAMES)
values = st.one_of(st.sampled_from(["diesel", "petrol", *BANDS]), st.integers(-3, 3), st.booleans())
comparisons = st.builds(
    Compares, names, st.sampled_from(["above", "below", "at_least", "at_most"]), st.integers(-3, 3)
)
plain = st.one_of(st.builds(Is, names, st.lists(values, min_size=1, max_size=3).map(tuple)), comparisons)


def grouped(parts: st.SearchStrategy[Condition]) -> st.SearchStrategy[Condition]:
    several = st.lists(parts, max_size=3).map(tuple)
    return st.one_of(st.builds(All, several), st.builds(Any, several))


steady = st.recursive(plain, grouped, max_leaves=8)
every_kind = st.recursive(
    st.one_of(plain, st.builds(Known, names, st.booleans())),
    lambda parts: st.one_of(grouped(parts), st.builds(NoneOf, st.lists(parts, max_size=3).map(tuple))),
    max_leaves=8,
)


@st.composite
def facts(draw: st.DrawFn) -> Facts:
    known = draw(st.dictionaries(names, values))
    numbers = {name for name, value in known.items() if type(value) is int}
    bands = {name: draw(st.sampled_from(BANDS)) for name in sorted(numbers) if draw(st.booleans())}
    return Facts(known, bands)


def test_a_value_is_compared_and_an_unknown_one_is_unknown() -> None:
    known = Facts({"fuel": "diesel", "volts": 12})
    assert Is("fuel", ("diesel", "petrol")).holds(known) is True
    assert Is("fuel", ("petrol",)).holds(known) is False
    assert Is("volts", (12.0,)).holds(known) is True
    assert Is("amps", (12,)).holds(known) is None


def test_true_and_false_are_not_one_and_zero() -> None:
    assert Is("relay", (1,)).holds(Facts({"relay": True})) is False
    assert Is("relay", (True,)).holds(Facts({"relay": 1})) is False
    assert Is("relay", (True,)).holds(Facts({"relay": True})) is True
    assert Compares("relay", "above", 0).holds(Facts({"relay": True})) is None


def test_a_reading_answers_by_its_band_and_by_its_number() -> None:
    read = Facts({"drop": 0.7}, {"drop": "high"})
    assert Is("drop", ("near", "high")).holds(read) is True
    assert Is("drop", ("low",)).holds(read) is False
    assert Is("drop", (0.7,)).holds(read) is True
    assert Is("drop", ("low",)).holds(Facts({}, {"drop": "high"})) is False


@pytest.mark.parametrize(
    ("relation", "answers"),
    [
        ("above", (False, False, True)),
        ("at_least", (False, True, True)),
        ("below", (True, False, False)),
        ("at_most", (True, True, False)),
    ],
)
def test_relations_differ_at_the_bound(relation: str, answers: tuple[bool, bool, bool]) -> None:
    found = tuple(Compares("volts", relation, 10.0).holds(Facts({"volts": v})) for v in (9.9, 10.0, 10.1))
    assert found == answers


def test_a_relation_to_something_without_a_number_is_unknown() -> None:
    assert Compares("fuel", "above", 1).holds(Facts({"fuel": "diesel"})) is None
    assert Compares("fuel", "above", 1).holds(Facts()) is None


YES, NO, UNKNOWN = Is("a", (1,)), Is("a", (2,)), Is("b", (1,))
A_IS_ONE = Facts({"a": 1})


@pytest.mark.parametrize(
    ("parts", "all_of", "any_of", "none_of"),
    [
        ((), True, False, True),
        ((YES, YES), True, True, False),
        ((YES, NO), False, True, False),
        ((NO, NO), False, False, True),
        ((YES, UNKNOWN), None, True, False),
        ((NO, UNKNOWN), False, None, True),
        ((UNKNOWN,), None, None, True),
    ],
)
def test_groups_answer_unknown_only_when_the_unknown_part_decides(
    parts: tuple[Condition, ...], all_of: bool | None, any_of: bool | None, none_of: bool
) -> None:
    assert All(parts).holds(A_IS_ONE) is all_of
    assert Any(parts).holds(A_IS_ONE) is any_of
    assert NoneOf(parts).holds(A_IS_ONE) is none_of


def test_known_looks_at_values_and_bands_and_is_never_unknown() -> None:
    for known in (Facts({"a": 0}), Facts({}, {"a": "low"})):
        assert Known("a").holds(known) is True
        assert Known("a", wanted=False).holds(known) is False
    assert Known("a").holds(Facts()) is False
    assert Known("a", wanted=False).holds(Facts()) is True


@given(every_kind, facts(), names)
def test_a_name_that_is_not_named_changes_no_answer(condition: Condition, known: Facts, name: str) -> None:
    if name in condition.names():
        return
    less = Facts(
        {n: value for n, value in known.values.items() if n != name},
        {n: band for n, band in known.bands.items() if n != name},
    )
    assert condition.holds(less) is condition.holds(known)


@given(steady, facts(), facts())
def test_learning_more_never_turns_a_yes_into_a_no(condition: Condition, first: Facts, second: Facts) -> None:
    """Without `known` and `none`, which speak of not knowing."""
    more = Facts(
        {**second.values, **first.values},
        {**{n: b for n, b in second.bands.items() if n not in first.values}, **first.bands},
    )
    before = condition.holds(first)
    if before is not None:
        assert condition.holds(more) is before


@given(st.lists(every_kind, max_size=4), facts())
def test_the_order_of_the_parts_does_not_matter(parts: list[Condition], known: Facts) -> None:
    for group in (All, Any, NoneOf):
        assert group(tuple(parts)).holds(known) is group(tuple(reversed(parts))).holds(known)
