"""Pictures that point to one repair, as few rows as they can be."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest

from crankpath.engine import Case
from crankpath.engine.advice.waiting.watch import JointOutcome, Watch
from crankpath.engine.advice.waiting.watch_table import POINTS_AT, watch_table

CaseOf = Callable[..., Case]


@pytest.fixture
def waiting(case_of: CaseOf) -> Case:
    return case_of("occurrence intermittent", "crank_behaviour slow", "battery_rest_voltage 12.6 V")


def test_every_picture_that_points_to_a_repair_is_in_one_row_of_that_repair(waiting: Case) -> None:
    watch = waiting.watch(meters=2)[0]
    here = [waiting.kb.measurements[name] for name in watch.measurements]
    rows = watch_table(watch, here)
    said = {bands: row.repair for row in rows for bands in product(*row.shown)}
    assert len(said) == sum(len(list(product(*row.shown))) for row in rows)
    assert said == {p.bands: p.repair for p in watch.outcomes if p.repair and p.probability > POINTS_AT}


def test_a_row_has_the_chance_of_its_pictures_and_their_mean_probability(waiting: Case) -> None:
    watch = waiting.watch(meters=2)[0]
    pictures = {p.bands: p for p in watch.outcomes}
    for row in watch_table(watch, [waiting.kb.measurements[name] for name in watch.measurements]):
        mine = [pictures[bands] for bands in product(*row.shown)]
        assert row.chance == pytest.approx(sum(p.chance for p in mine))
        assert row.chance * row.probability == pytest.approx(sum(p.chance * p.probability for p in mine))


def test_bands_that_are_no_neighbours_stay_apart(waiting: Case) -> None:
    m = waiting.kb.measurements["positive_leg_drop"]
    low, _, high, *_ = m.bands
    pictures = tuple(JointOutcome((band,), 0.2, "clean_positive_post", 0.9) for band in (low, high))
    assert len(watch_table(Watch((m.id,), 1.0, 0.0, pictures), [m])) == 2
