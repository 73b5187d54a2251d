"""The sets of faults that are weighed, and their chances before any reading."""

from __future__ import annotations

from itertools import product
from math import prod

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.bayes.hypotheses import (
    Element,
    Hypotheses,
    RepairState,
    hypotheses_within,
    list_hypotheses,
    truncation_bound,
)

NEAR = 1e-9


@st.composite
def element_lists(draw: st.DrawFn) -> list[Element]:
    """Up to six faults with one to three degrees, from very rare to common."""
    found = []
    for fault in range(draw(st.integers(1, 6))):
        chance, degrees = draw(st.floats(1e-9, 0.9)), draw(st.integers(1, 3))
        found.extend(Element(f"fault {fault}", f"degree {d}", chance / degrees) for d in range(degrees))
    return found


unlisted_shares = st.none() | st.floats(0.001, 0.9)


def by_definition(elements: list[Element]) -> dict[tuple[int, ...], float]:
    """Every set with its chance: p_f for the faults in it and 1 - p_f for the others."""
    faults: dict[str, list[int]] = {}
    for index, element in enumerate(elements):
        faults.setdefault(element.fault, []).append(index)
    absent = {fault: 1.0 - sum(elements[i].chance for i in indexes) for fault, indexes in faults.items()}
    found = {}
    for choice in product(*([None, *indexes] for indexes in faults.values())):
        chances = [
            absent[fault] if index is None else elements[index].chance
            for fault, index in zip(faults, choice, strict=True)
        ]
        found[tuple(index for index in choice if index is not None)] = prod(chances)
    return found


def chances(hypotheses: Hypotheses) -> dict[tuple[int, ...], float]:
    return dict(zip(hypotheses.members, hypotheses.prior, strict=True))


@given(element_lists())
def test_every_set_has_the_chance_of_its_definition(elements: list[Element]) -> None:
    assert chances(list_hypotheses(elements, largest=6)) == pytest.approx(by_definition(elements), rel=1e-6)


@given(element_lists(), st.floats(0.001, 0.9))
def test_a_stated_share_goes_to_not_listed_and_the_rest_keep_their_proportions(
    elements: list[Element], unlisted: float
) -> None:
    found = chances(list_hypotheses(elements, unlisted, largest=6))
    plain = by_definition(elements)
    some = sum(chance for members, chance in plain.items() if members)
    assert found[()] == unlisted
    for members, chance in plain.items():
        if members:
            assert found[members] == pytest.approx(chance / some * (1.0 - unlisted), rel=1e-6)


@given(element_lists(), unlisted_shares, st.integers(0, 7))
def test_sets_and_what_is_left_out_sum_to_one(
    elements: list[Element], unlisted: float | None, largest: int
) -> None:
    hypotheses = list_hypotheses(elements, unlisted, largest)
    assert sum(hypotheses.prior) + hypotheses.left_out == pytest.approx(1.0, abs=NEAR)
    assert hypotheses.left_out >= 0.0


@given(element_lists(), st.integers(0, 7))
def test_each_set_is_listed_once_sorted_with_one_degree_a_fault(
    elements: list[Element], largest: int
) -> None:
    hypotheses = list_hypotheses(elements, largest=largest)
    wanted = {members for members in by_definition(elements) if len(members) <= largest}
    assert hypotheses.members[0] == ()
    assert sorted(hypotheses.members) == sorted(wanted)


@given(element_lists(), unlisted_shares)
def test_nothing_is_left_out_when_every_set_is_listed(
    elements: list[Element], unlisted: float | None
) -> None:
    hypotheses = list_hypotheses(elements, unlisted, largest=6)
    assert hypotheses.left_out == 0.0
    assert truncation_bound(hypotheses, hypotheses.prior, lambda sets: 0.0) == 0.0


@given(element_lists(), unlisted_shares)
def test_while_nothing_is_known_the_bound_is_no_less_than_what_is_left_out(
    elements: list[Element], unlisted: float | None
) -> None:
    hypotheses = list_hypotheses(elements, unlisted, largest=2)
    chance = chances(list_hypotheses(elements, unlisted, largest=6))
    bound = truncation_bound(hypotheses, hypotheses.prior, lambda sets: sum(chance[one] for one in sets))
    if max(sum(e.chance for e in elements if e.fault == f) for f in {e.fault for e in elements}) < 0.3:
        assert bound >= hypotheses.left_out - NEAR


def test_a_machine_without_any_listed_fault_has_only_what_is_not_listed() -> None:
    hypotheses = list_hypotheses([], unlisted=0.02)
    assert chances(hypotheses) == {(): 1.0}
    assert hypotheses.left_out == 0.0


@given(element_lists(), st.integers(0, 4))
def test_pairs_stand_in_rows_and_larger_sets_after_them(elements: list[Element], largest: int) -> None:
    hypotheses = list_hypotheses(elements, largest=largest)
    for first, second in hypotheses.pairs_within(range(len(elements))):
        assert hypotheses.members[hypotheses.place(first, second)] == (first, second)
    assert sum(len(members) == 2 for members in hypotheses.members) == len(
        list(hypotheses.pairs_within(range(len(elements))))
    )
    assert all(len(members) > 2 for members in hypotheses.members[hypotheses.larger :])
    assert all(len(members) < 3 for members in hypotheses.members[: hypotheses.larger])


@given(element_lists(), st.integers(0, 3), st.sets(st.integers(0, 17)))
def test_the_sets_that_repairs_have_emptied_are_all_found(
    elements: list[Element], largest: int, repaired: set[int]
) -> None:
    hypotheses = list_hypotheses(elements, largest=largest)
    mended = RepairState(frozenset(index for index in repaired if index < len(elements)))
    wanted = [(place, m) for place, m in enumerate(hypotheses.members) if mended.empties(m)]
    assert sorted(hypotheses_within(hypotheses, mended.elements)) == wanted


def test_degrees_of_one_fault_that_are_scattered_are_refused() -> None:
    scattered = [Element("a", "slight", 0.1), Element("b", "present", 0.1), Element("a", "bad", 0.1)]
    with pytest.raises(ValueError, match="side by side"):
        list_hypotheses(scattered)
