"""Minutes wasted by a policy of repairs, and bits of a reading."""

from __future__ import annotations

from itertools import permutations
from math import log2
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.advice.value_of_information import (
    Answer,
    Costs,
    RepairCosts,
    entropy,
    expected_minutes,
    mutual_information,
    repair_order,
)

NEAR = 1e-9


def waste_of(order: tuple[str, ...], weights: dict[Answer, float], costs: Costs) -> float:
    """Minutes wasted by doing these repairs in this order, then calling for help, case by case."""
    total = 0.0
    for answer, weight in weights.items():
        done: set[str] = set()
        wasted = 0.0
        for repair in order:
            if answer and answer <= done:
                break
            wasted += 0.0 if repair in answer else costs.wasted[repair]
            done.add(repair)
        if not answer or not answer <= done:
            wasted += costs.help
        total += weight * wasted
    return total


def least_waste(weights: dict[Answer, float], costs: Costs) -> float:
    """The best of every order of every selection of repairs."""
    repairs = sorted(set().union(*weights))
    orders = (order for size in range(len(repairs) + 1) for order in permutations(repairs, size))
    return min(waste_of(order, weights, costs) for order in orders)


def single_problem(rng: Random, most: int = 5) -> tuple[dict[Answer, float], Costs]:
    names = "ABCDE"[: rng.randint(1, most)]
    weights: dict[Answer, float] = {frozenset(name): rng.random() for name in names}
    if rng.random() < 0.7:
        weights[frozenset()] = rng.random() * 0.5
    costs = Costs({name: rng.uniform(1.0, 60.0) for name in names}, rng.choice([20.0, 60.0, 240.0, 5000.0]))
    return weights, costs


def test_with_one_repair_needed_the_waste_is_the_least_of_all_policies() -> None:
    for seed in range(300):
        weights, costs = single_problem(Random(seed))
        least = least_waste(weights, costs)
        assert expected_minutes(weights, costs) == pytest.approx(least), f"problem {seed}"


def test_an_unlikely_first_repair_does_not_hide_that_the_rest_are_worth_doing() -> None:
    """One step ahead, calling for help looks cheaper than repair a; two ahead it does not."""
    weights: dict[Answer, float] = {frozenset("a"): 0.1, frozenset("b"): 0.8, frozenset(): 0.1}
    costs = Costs({"a": 10.0, "b": 80.8}, 60.0)
    # By hand: 10 * .9 wasted on a, 80.8 * .1 on b, help for the last .1.
    assert expected_minutes(weights, costs) == pytest.approx(9.0 + 8.08 + 6.0)


def test_with_two_repairs_needed_the_waste_is_a_policys_and_near_the_least() -> None:
    gaps = []
    for seed in range(150):
        rng = Random(seed)
        weights, costs = single_problem(rng, most=4)
        names = sorted(costs.wasted)
        for _ in range(rng.randint(1, 3)):
            weights[frozenset(rng.choices(names, k=2))] = rng.random() * 0.5
        ours, least = expected_minutes(weights, costs), least_waste(weights, costs)
        assert ours >= least - NEAR, f"problem {seed}"
        order = repair_order(weights, costs)
        prefixes = [waste_of(order[:size], weights, costs) for size in range(len(order) + 1)]
        assert ours == pytest.approx(min(prefixes)), f"problem {seed}"
        gaps.append(ours / least - 1.0 if least > NEAR else 0.0)
    assert sum(gaps) / len(gaps) < 0.05


answers = st.sets(st.sampled_from("abcd"), max_size=2).map(frozenset)
weight_maps = st.dictionaries(answers, st.floats(0.001, 1.0), min_size=1, max_size=6)
cost_tables = st.builds(
    Costs,
    st.fixed_dictionaries({name: st.floats(0.5, 100.0) for name in "abcd"}),
    st.floats(1.0, 1000.0),
)


@given(weight_maps, cost_tables, st.floats(0.1, 10.0))
def test_waste_is_never_negative_never_above_help_and_grows_with_the_weights(
    weights: dict[Answer, float], costs: Costs, factor: float
) -> None:
    expected_repair_cost = expected_minutes(weights, costs)
    assert -NEAR <= expected_repair_cost <= sum(weights.values()) * costs.help + NEAR
    scaled = {answer: weight * factor for answer, weight in weights.items()}
    assert expected_minutes(scaled, costs) == pytest.approx(expected_repair_cost * factor, abs=NEAR)


@given(
    st.dictionaries(
        st.sampled_from([frozenset(), *map(frozenset, "abcd")]),
        st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3),
        min_size=1,
    ),
    cost_tables,
)
def test_a_reading_never_costs_more_than_it_saves_before_its_own_minutes(
    joint: dict[Answer, list[float]], costs: Costs
) -> None:
    """Knowing more never makes the best policy worse (one repair needed)."""
    before = expected_minutes({answer: sum(row) for answer, row in joint.items()}, costs)
    after = sum(
        expected_minutes({answer: row[band] for answer, row in joint.items()}, costs) for band in range(3)
    )
    assert after <= before + 1e-6


def test_the_cost_after_a_reading_is_that_of_its_outcomes_one_by_one() -> None:
    for seed in range(100):
        rng = Random(seed)
        answers = [frozenset(rng.sample("ABCDE", rng.randint(0, 3))) for _ in range(6)]
        costs = Costs({name: rng.uniform(1.0, 60.0) for name in "ABCDE"}, rng.choice([20.0, 240.0]))
        laid_out = RepairCosts(list(dict.fromkeys(answers)), costs)
        joint = [[rng.random() for _ in range(4)] for _ in laid_out.answers]
        one_by_one = [
            expected_minutes(dict(zip(laid_out.answers, column, strict=True)), costs)
            for column in zip(*joint, strict=True)
        ]
        assert laid_out.cost_after(joint) == pytest.approx(sum(one_by_one))


def test_repairs_come_by_chance_per_minute_then_by_name() -> None:
    weights: dict[Answer, float] = {frozenset("a"): 0.2, frozenset("b"): 0.2, frozenset("cd"): 0.6}
    assert repair_order(weights, Costs({"a": 10.0, "b": 5.0, "c": 60.0, "d": 15.0}, 100.0)) == (
        "b", "d", "a", "c",
    )  # fmt: skip
    assert repair_order(weights, Costs(dict.fromkeys("abcd", 10.0), 100.0)) == ("c", "d", "a", "b")


def test_a_repair_that_wastes_nothing_comes_first() -> None:
    weights: dict[Answer, float] = {frozenset("a"): 0.9, frozenset("b"): 0.1}
    assert repair_order(weights, Costs({"a": 10.0, "b": 0.0}, 100.0)) == ("b", "a")
    assert expected_minutes(weights, Costs({"a": 10.0, "b": 0.0}, 100.0)) == pytest.approx(0.0, abs=1e-6)


def test_without_anything_to_repair_there_is_only_help() -> None:
    assert expected_minutes({frozenset(): 0.4}, Costs({}, 50.0)) == pytest.approx(20.0)
    assert expected_minutes({}, Costs({}, 50.0)) == 0.0


rows = st.lists(st.floats(0.0, 1.0), min_size=3, max_size=3)


@given(st.dictionaries(answers, rows, max_size=6))
def test_bits_lie_between_none_and_the_entropy_of_either_side(joint: dict[Answer, list[float]]) -> None:
    bits = mutual_information(tuple(joint.values()))
    bands = [sum(column) for column in zip(*joint.values(), strict=True)]
    assert 0.0 <= bits <= min(entropy([sum(row) for row in joint.values()]), entropy(bands)) + 1e-6


@given(st.dictionaries(answers, rows, min_size=1, max_size=6))
def test_bits_are_what_the_reading_takes_off_the_entropy_of_the_answer(
    joint: dict[Answer, list[float]],
) -> None:
    whole = sum(map(sum, joint.values()))
    if whole < 1e-3:
        return
    before = entropy([sum(row) for row in joint.values()])
    after = sum(sum(column) / whole * entropy(column) for column in zip(*joint.values(), strict=True))
    assert mutual_information(tuple(joint.values())) == pytest.approx(before - after, abs=1e-6)


@given(st.dictionaries(answers, st.floats(0.01, 1.0), min_size=1), rows.filter(lambda row: sum(row) > 0.01))
def test_a_reading_that_is_the_same_for_every_answer_tells_nothing(
    weights: dict[Answer, float], row: list[float]
) -> None:
    joint = {answer: [weight * chance for chance in row] for answer, weight in weights.items()}
    assert mutual_information(tuple(joint.values())) == pytest.approx(0.0, abs=1e-6)


def test_nothing_known_is_no_information() -> None:
    assert mutual_information(()) == 0.0
    assert mutual_information([[0.0, 0.0]]) == 0.0
    assert entropy([]) == 0.0


def test_entropy_is_in_bits_whatever_the_weights_sum_to() -> None:
    assert entropy([3.0, 3.0, 3.0, 3.0]) == pytest.approx(2.0)
    assert entropy([5.0, 0.0]) == 0.0
    assert entropy([1.0, 3.0]) == pytest.approx(2.0 - 0.75 * log2(3.0))
