"""Chances of a reading under any set of faults: noisy-MAX, pooled odds, masks, symptom away."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.bayes.combining import Chances, noisy_max, product_of_odds
from crankpath.engine.bayes.tables import Effect, ObservationTable

NEAR = 1e-9
WAYS = ("largest", "smallest", "product_of_odds")


def chances_of(bands: int) -> st.SearchStrategy[Chances]:
    weights = st.lists(st.floats(0.002, 1.0), min_size=bands, max_size=bands)
    return weights.map(lambda given: tuple(weight / sum(given) for weight in given))


@st.composite
def tables(draw: st.DrawFn, ways: tuple[str, ...] = WAYS) -> ObservationTable:
    bands, elements = draw(st.integers(2, 5)), draw(st.integers(1, 5))
    effects = {
        element: Effect(draw(chances_of(bands)), draw(st.sampled_from([0, 0, 0, 1, 2])))
        for element in range(elements)
    }
    away = {element: draw(st.floats(0.0, 1.0)) for element in effects}
    healthy = draw(chances_of(bands))
    return ObservationTable(healthy, effects, healthy, away, draw(st.sampled_from(ways)))


@st.composite
def own_draws(draw: st.DrawFn, causes: int) -> tuple[Chances, list[Chances]]:
    """A background and causes without it, over one number of bands."""
    bands = draw(st.integers(2, 5))
    return draw(chances_of(bands)), [draw(chances_of(bands)) for _ in range(causes)]


def largest(rows: list[Chances]) -> Chances:
    """Distribution of the largest of independent draws, by counting every outcome."""
    found = [0.0] * len(rows[0])
    for outcome in product(range(len(rows[0])), repeat=len(rows)):
        chance = 1.0
        for row, band in zip(rows, outcome, strict=True):
            chance *= row[band]
        found[max(outcome)] += chance
    return tuple(found)


@given(tables(), st.data())
def test_chances_of_any_set_are_chances(table: ObservationTable, data: st.DataObject) -> None:
    members = tuple(sorted(data.draw(st.sets(st.sampled_from(sorted(table.effects))))))
    for row in (table.outcomes_of[members], table.outcomes_away[members]):
        assert sum(row) == pytest.approx(1.0, abs=NEAR)
        assert all(0.0 <= chance <= 1.0 + NEAR for chance in row)


@given(tables(), st.data())
def test_the_order_of_the_members_does_not_matter(table: ObservationTable, data: st.DataObject) -> None:
    members = data.draw(st.permutations(sorted(table.effects)))
    turned = replace(table)
    rising = tuple(sorted(members))
    for of in ("outcomes_of", "outcomes_away"):
        one, other = getattr(table, of)[rising], getattr(turned, of)[tuple(members)]
        assert one == pytest.approx(other, abs=NEAR)


@given(tables())
def test_no_cause_reads_healthy_and_one_cause_reads_as_its_rule_says(table: ObservationTable) -> None:
    assert table.row_of(()) == table.healthy
    for element, effect in table.effects.items():
        assert table.row_of((element,)) == effect.row


def test_only_members_with_an_effect_count() -> None:
    table = ObservationTable((0.9, 0.1), {3: Effect((0.2, 0.8)), 5: Effect((0.5, 0.5))}, (0.9, 0.1))
    assert table.touched((1, 3, 4, 5, 9)) == (3, 5)
    assert table.touched((2,)) == ()


@given(own_draws(causes=3))
def test_noisy_max_is_the_largest_of_the_background_and_every_cause(
    drawn: tuple[Chances, list[Chances]],
) -> None:
    background, own = drawn
    compound = [largest([background, row]) for row in own]
    assert noisy_max(background, compound) == pytest.approx(largest([background, *own]), abs=NEAR)


@given(own_draws(causes=3))
def test_noisy_max_may_be_taken_in_steps(drawn: tuple[Chances, list[Chances]]) -> None:
    background, own = drawn
    a, b, c = (largest([background, row]) for row in own)
    at_once = noisy_max(background, [a, b, c])
    assert noisy_max(background, [noisy_max(background, [a, b]), c]) == pytest.approx(at_once, abs=NEAR)
    assert noisy_max(background, [a, noisy_max(background, [b, c])]) == pytest.approx(at_once, abs=NEAR)


@given(own_draws(causes=2))
def test_a_cause_that_does_as_the_background_does_changes_nothing(
    drawn: tuple[Chances, list[Chances]],
) -> None:
    background, own = drawn
    cause = largest([background, own[0]])
    assert noisy_max(background, [cause, background]) == pytest.approx(cause, abs=NEAR)
    assert product_of_odds(background, [own[1], background]) == pytest.approx(own[1], abs=NEAR)


@given(own_draws(causes=3))
def test_a_further_cause_only_moves_a_reading_towards_the_dominant_end(
    drawn: tuple[Chances, list[Chances]],
) -> None:
    background, own = drawn
    causes = [largest([background, row]) for row in own]
    few, more = noisy_max(background, causes[:2]), noisy_max(background, causes)
    for band in range(len(background)):
        assert sum(more[: band + 1]) <= sum(few[: band + 1]) + NEAR


@given(tables(ways=("largest",)), st.data())
def test_smallest_is_largest_turned_round(table: ObservationTable, data: st.DataObject) -> None:
    members = tuple(sorted(data.draw(st.sets(st.sampled_from(sorted(table.effects))))))
    turned = {element: Effect(e.row[::-1], e.masks) for element, e in table.effects.items()}
    smallest = ObservationTable(table.healthy[::-1], turned, table.healthy, combination="smallest")
    assert smallest.row_of(members) == pytest.approx(table.row_of(members)[::-1], abs=NEAR)


def test_noisy_max_of_a_published_form_gives_the_enumerated_chances() -> None:
    """Takikawa & D'Ambrosio's noisy-MAX; the numbers computed by enumeration: .108, .333, .559."""
    leak, a, b = (0.9, 0.08, 0.02), (0.2, 0.3, 0.5), (0.6, 0.3, 0.1)
    effects = {0: Effect(largest([leak, a])), 1: Effect(largest([leak, b]))}
    row = ObservationTable(leak, effects, leak).row_of((0, 1))
    assert row == pytest.approx((0.108, 0.333, 0.559), abs=1e-12)


def test_pooled_faults_that_agree_are_surer_and_that_disagree_leave_both_ends() -> None:
    healthy, low, high = (0.1, 0.8, 0.1), (0.7, 0.2, 0.1), (0.1, 0.2, 0.7)
    agreeing, opposed = product_of_odds(healthy, [low, low]), product_of_odds(healthy, [low, high])
    # By hand: weights .1*7*7, .8*.25*.25, .1 and .1*7, .8*.25*.25, .1*7.
    assert agreeing == pytest.approx((4.9 / 5.05, 0.05 / 5.05, 0.1 / 5.05))
    assert opposed == pytest.approx((0.7 / 1.45, 0.05 / 1.45, 0.7 / 1.45))


@given(own_draws(causes=2))
def test_pooling_does_not_depend_on_the_order(drawn: tuple[Chances, list[Chances]]) -> None:
    healthy, rows = drawn
    assert product_of_odds(healthy, rows) == pytest.approx(product_of_odds(healthy, rows[::-1]), abs=NEAR)


def test_the_highest_mask_takes_the_reading_over_and_equals_are_combined() -> None:
    healthy, nothing, full = (0.02, 0.96, 0.02), (0.96, 0.03, 0.01), (0.01, 0.03, 0.96)
    effects = {0: Effect((0.01, 0.2, 0.79)), 1: Effect(full, 1), 2: Effect(nothing, 2), 3: Effect(healthy, 1)}
    table = ObservationTable(healthy, effects, healthy)
    assert table.row_of((0, 1)) == full
    assert table.row_of((0, 1, 2)) == nothing
    assert table.row_of((0, 1, 3)) == pytest.approx(noisy_max(healthy, [full, healthy]))


@pytest.mark.parametrize("way", ["largest", "product_of_odds"])
def test_with_the_symptom_away_each_fault_shows_with_its_own_chance(way: str) -> None:
    healthy = (0.9, 0.08, 0.02)
    effects = {0: Effect((0.3, 0.5, 0.2)), 1: Effect((0.1, 0.2, 0.7))}
    table = ObservationTable(healthy, effects, healthy, {0: 0.25}, way)  # not named: always shows
    one = [0.25 * a + 0.75 * b for a, b in zip(effects[0].row, healthy, strict=True)]
    assert table.outcomes_away[0,] == pytest.approx(one)
    both = table.row_of((0, 1))
    two = [0.25 * a + 0.75 * b for a, b in zip(both, effects[1].row, strict=True)]
    assert table.outcomes_away[0, 1] == pytest.approx(two)


@given(tables())
def test_a_fault_that_always_shows_reads_the_same_with_the_symptom_away(table: ObservationTable) -> None:
    members = tuple(sorted(table.effects))
    steady = replace(table, shows_when_symptom_absent={})
    never = replace(table, shows_when_symptom_absent=dict.fromkeys(members, 0.0))
    assert steady.outcomes_away[members] == pytest.approx(steady.row_of(members), abs=NEAR)
    assert never.outcomes_away[members] == pytest.approx(table.healthy, abs=NEAR)


@given(own_draws(causes=1))
def test_a_band_that_is_impossible_when_healthy_does_no_harm(drawn: tuple[Chances, list[Chances]]) -> None:
    _, (row,) = drawn
    certain = (1.0, *(0.0 for _ in row[1:]))
    assert noisy_max(certain, [row]) == pytest.approx(row, abs=NEAR)
    assert noisy_max((*certain[1:], 1.0), [row, row])[-1] == pytest.approx(1.0)
    assert sum(product_of_odds(certain, [row, row])) == pytest.approx(1.0, abs=NEAR)


@given(tables(ways=("largest", "smallest")), st.data())
def test_a_rule_no_worse_than_healthy_still_leaves_a_second_fault_visible(
    table: ObservationTable, data: st.DataObject
) -> None:
    """Two rows that a mechanic may write never combine to what a sound circuit shows."""
    bad = (0.1, *(0.9 / (len(table.healthy) - 1) for _ in table.healthy[1:]))
    healthy = (0.98, *(0.02 / (len(table.healthy) - 1) for _ in table.healthy[1:]))
    level = (0.98, *bad[1:])  # as likely as healthy in the first value
    level = tuple(chance / sum(level) for chance in level)
    row = noisy_max(healthy, [bad, level])
    assert row[0] <= bad[0] + NEAR
    assert sum(row) == pytest.approx(1.0, abs=NEAR)
