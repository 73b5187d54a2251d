"""The order of repairs by probability over cost, and where to measure.

Provenance of every figure: *published* (read in the source named), *from memory* (recalled,
the source not opened) or *computed* (exact enumeration by programs independent of this one).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import permutations
from random import Random

import pytest

from crankpath.engine.advice.value_of_information import (
    Answer,
    Costs,
    entropy,
    expected_minutes,
    mutual_information,
    repair_order,
)

# -- probability over cost ---------------------------------------------------------------

PARTS = {"A": (0.30, 12.0), "B": (0.25, 4.0), "C": (0.20, 10.0), "D": (0.15, 1.0), "E": (0.10, 5.0)}
NO_HELP = 1e6


def minutes_of_order(order: Iterable[str], parts: Mapping[str, tuple[float, float]]) -> float:
    """Heckerman, Breese & Rommelse (1995): each suspect costs its minutes unless found before it."""
    left, total = 1.0, 0.0
    for name in order:
        total += left * parts[name][1]
        left -= parts[name][0]
    return total


def minutes_by_engine(parts: Mapping[str, tuple[float, float]]) -> float:
    """Wasted minutes, and those of the part that was needed: the same sum, split otherwise."""
    weights: dict[Answer, float] = {frozenset(name): chance for name, (chance, _) in parts.items()}
    costs = Costs({name: minutes for name, (_, minutes) in parts.items()}, NO_HELP)
    return expected_minutes(weights, costs) + sum(chance * minutes for chance, minutes in parts.values())


def test_five_parts_are_tried_in_the_order_with_the_least_expected_minutes() -> None:
    """Kadane & Simon (1977), the theorem published; numbers computed: D, B, A, C, E, 15.10 minutes."""
    weights: dict[Answer, float] = {frozenset(name): chance for name, (chance, _) in PARTS.items()}
    costs = Costs({name: minutes for name, (_, minutes) in PARTS.items()}, NO_HELP)
    assert repair_order(weights, costs) == ("D", "B", "A", "C", "E")
    assert minutes_by_engine(PARTS) == pytest.approx(15.10, abs=1e-9)
    assert min(minutes_of_order(order, PARTS) for order in permutations(PARTS)) == pytest.approx(
        15.10, abs=1e-9
    )


def test_no_order_of_random_parts_beats_probability_over_cost() -> None:
    """Kadane & Simon's theorem, where every suspect must be confirmed."""
    for seed in range(200):
        rng = Random(seed)
        chances = [rng.random() for _ in range(rng.randint(2, 5))]
        parts = {str(n): (chance / sum(chances), rng.uniform(1, 30)) for n, chance in enumerate(chances)}
        least = min(minutes_of_order(order, parts) for order in permutations(parts))
        assert minutes_by_engine(parts) == pytest.approx(least), f"problem {seed}"


def test_a_question_is_worth_the_minutes_it_saves() -> None:
    """Computed: 14.90 minutes without the question, 11.21 and its cost with it, so 3.69 at most."""
    parts = {"A": (0.5, 10.0), "B": (0.3, 8.0), "C": (0.2, 5.0)}
    yes = {"A": 0.9, "B": 0.2, "C": 0.1}
    costs = Costs({name: minutes for name, (_, minutes) in parts.items()}, NO_HELP)
    answers: list[dict[Answer, float]] = [
        {frozenset(n): parts[n][0] * (yes[n] if said else 1.0 - yes[n]) for n in parts}
        for said in (True, False)
    ]
    assert minutes_by_engine(parts) == pytest.approx(14.90, abs=1e-9)
    assert repair_order(answers[0], costs) == ("A", "B", "C")
    assert repair_order(answers[1], costs) == ("C", "B", "A")
    needed = sum(chance * minutes for chance, minutes in parts.values())
    asked = sum(expected_minutes(answer, costs) for answer in answers)
    assert asked + needed == pytest.approx(11.21, abs=1e-9)
    assert minutes_by_engine(parts) - asked - needed == pytest.approx(3.69, abs=1e-9)


# -- information: where to measure -------------------------------------------------------


def entropy_after_opening(chances: Sequence[float], after: int) -> float:
    """Bits left when a chain of parts, one of them bad, is probed behind some of them."""
    joint = {frozenset([str(n)]): ([p, 0.0] if n < after else [0.0, p]) for n, p in enumerate(chances)}
    return entropy(chances) - mutual_information(tuple(joint.values()))


@pytest.mark.parametrize(
    ("chances", "expected"),
    [
        ([1 / 4] * 4, [1.1887, 1.0, 1.1887]),
        ([1 / 5] * 5, [1.6, 1.351, 1.351, 1.6]),
        ([1 / 7] * 7, [2.2157, 1.9442, 1.8221]),
        ([1 / 8] * 8, [2.4564, 2.1887, 2.0456, 2.0]),
        ([0.4, 0.1, 0.1, 0.1, 0.3], [1.0755, 1.0464, 1.0755, 1.1651]),
    ],
)
def test_a_chain_is_best_opened_in_its_likely_middle(chances: list[float], expected: list[float]) -> None:
    """Half-split: the method from memory, the bits computed."""
    found = [entropy_after_opening(chances, after) for after in range(1, len(expected) + 1)]
    assert found == pytest.approx(expected, abs=1e-4)


TREE_STATES = (0.70, 0.01, 0.02, 0.10, 0.17)
TREE_ROWS = ("00000", "01001", "00110", "10011", "11110")  # states by five yes/no tests


def greedy_tests(states: tuple[int, ...]) -> float:
    """Expected number of tests (weighted by chance) when the most telling one is taken each time."""
    if len(states) == 1:
        return 0.0

    def split(test: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
        no = tuple(state for state in states if TREE_ROWS[state][test] == "0")
        return no, tuple(state for state in states if state not in no)

    def told(test: int) -> float:
        no, _ = split(test)
        rows = [[TREE_STATES[s] * (s in no), TREE_STATES[s] * (s not in no)] for s in states]
        return mutual_information(rows)

    best = max(range(5), key=told)
    return sum(TREE_STATES[state] for state in states) + sum(map(greedy_tests, split(best)))


def test_five_states_and_five_tests_have_their_known_greedy_tree() -> None:
    """Computed: entropy 1.3063 bits, greedy 2.12 tests (the optimum is 2.11)."""
    assert entropy(TREE_STATES) == pytest.approx(1.3063, abs=1e-4)
    assert greedy_tests((0, 1, 2, 3, 4)) == pytest.approx(2.12, abs=1e-9)
