"""Takes of one reading: what is pooled, what is set aside, and how sure the figure is."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from statistics import NormalDist
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sampled import one_in
from shipped_base import shipped_knowledge

from crankpath.engine import Case
from crankpath.engine.inference.entries import Reading
from crankpath.engine.inference.pooled_readings import PooledReading, agree, pool
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Knowledge, Measurement, MeterError
from crankpath.engine.typed.reading import bound

SHIPPED = shipped_knowledge()


@pytest.fixture(scope="module")
def kb() -> Knowledge:
    return SHIPPED


@pytest.fixture(scope="module")
def drop(kb: Knowledge) -> Measurement:
    return replace(kb.measurements["positive_cable_drop"], error=MeterError(0.06, 0.01))


def take(value: float | str, cable: int = 1, spread: float | None = None, repeats: int = 1) -> Reading:
    return Reading("x", value, str(value), cable=cable, spread=spread, repeats=repeats)


def pooled(m: Measurement, *takes: float | str | Reading, scatters: bool = False) -> PooledReading:
    return pool(m, 0, True, [t if isinstance(t, Reading) else take(t) for t in takes], scatters)


def error(value: float) -> float:
    return math.hypot(0.06 * value, 0.01)


def test_one_take_has_the_stated_error(drop: Measurement) -> None:
    one = pooled(drop, 0.5)
    assert (one.value, one.repeats, one.set_aside) == (0.5, 1, ())
    assert one.sd == pytest.approx(error(0.5)) == drop.error.at(0.5)


def test_takes_that_agree_are_pooled_and_only_the_repeatability_shrinks(drop: Measurement) -> None:
    four = pooled(drop, 0.5, 0.5, 0.5, 0.5)
    assert four.repeats == 4
    assert four.sd == pytest.approx(error(0.5) * math.sqrt(0.5 + 0.5 / 4))
    assert pooled(drop, *[0.5] * 500).sd == pytest.approx(error(0.5) * math.sqrt(0.5), rel=2e-3)


def test_figures_typed_in_a_line_count_as_so_many_takes(drop: Measurement) -> None:
    in_a_line = pooled(drop, take(0.5, repeats=4))
    assert in_a_line.repeats == 4
    assert in_a_line.sd == pytest.approx(pooled(drop, 0.5, 0.5, 0.5, 0.5).sd)


def test_a_later_take_that_disagrees_sets_the_earlier_ones_aside(drop: Measurement) -> None:
    found = pooled(drop, 0.5, 0.52, 3.1)
    alone = pooled(drop, 3.1)
    assert (found.value, found.sd, found.repeats) == (alone.value, alone.sd, 1)
    assert [t.value for t in found.set_aside] == [0.5, 0.52]


def test_a_take_set_aside_counts_again_once_a_further_take_agrees_with_it(drop: Measurement) -> None:
    found = pooled(drop, 0.5, 3.1, 0.5)
    assert (found.value, found.repeats) == (0.5, 2)
    assert [t.value for t in found.set_aside] == [3.1]


def test_a_typed_range_widens_the_error_as_a_uniform_one(drop: Measurement) -> None:
    assert pooled(drop, take(0.5, spread=0.3)).sd == pytest.approx(math.hypot(error(0.5), 0.3 / math.sqrt(3)))


def test_the_surer_take_weighs_more(drop: Measurement) -> None:
    # inverse-variance weights: the textbook mean of two measurements of unequal errors
    vague, sharp = take(0.6, spread=0.2), take(0.5)
    variances = [0.5 * error(0.6) ** 2 + 0.04 / 3, 0.5 * error(0.5) ** 2]
    expected = (0.6 / variances[0] + 0.5 / variances[1]) / (1 / variances[0] + 1 / variances[1])
    assert pooled(drop, vague, sharp).value == pytest.approx(expected)


def test_takes_that_scatter_more_than_their_errors_are_less_sure(drop: Measurement) -> None:
    calm, restless = pooled(drop, 0.5, 0.5, 0.5), pooled(drop, 0.42, 0.58, 0.5)
    assert restless.value == pytest.approx(0.5, abs=0.03)
    assert restless.repeats == 3
    assert restless.sd > 1.2 * calm.sd


def test_two_takes_agree_within_twice_the_error_of_their_difference(drop: Measurement) -> None:
    limit = next(x / 1e4 for x in range(5000, 9000) if not agree(drop, take(0.5), take(x / 1e4)))
    apart = (limit - 0.5) / NormalDist(0, math.hypot(error(0.5), error(limit))).stdev
    assert apart == pytest.approx(2.0, abs=0.01)
    assert agree(drop, take(0.5), take(0.8, spread=0.3))


def test_each_cable_has_its_own_takes_and_the_worst_cable_counts(drop: Measurement) -> None:
    found = pooled(drop, take(0.2, 1), take(0.9, 2), take(0.21, 1), take(0.92, 2))
    assert found.value == pytest.approx(0.91, abs=0.005)
    assert (found.repeats, len(found.readings), found.set_aside) == (2, 4, ())
    corrected = pooled(drop, take(0.2, 1), take(0.9, 2), take(0.1, 2))
    assert corrected.value == 0.2
    assert [t.value for t in corrected.set_aside] == [0.9]


def test_of_a_fault_that_comes_and_goes_takes_that_differ_are_all_kept(drop: Measurement) -> None:
    found = pooled(drop, 0.5, 3.1, 3.0, scatters=True)
    assert found.value == pytest.approx(3.05, abs=0.01)
    assert [group.value for group in found.groups][1] == 0.5
    assert (len(found.readings), found.set_aside) == (3, ())
    assert found.sd > 1.0  # 2.55 V apart in one take of three


def test_an_open_circuit_agrees_with_an_open_circuit_only(drop: Measurement) -> None:
    found = pooled(drop, 0.2, math.inf, math.inf)
    assert (found.value, found.sd, found.repeats) == (math.inf, 0.0, 2)
    assert pooled(drop, math.inf, 0.2).value == 0.2


def test_of_what_is_observed_the_latest_stands(kb: Knowledge) -> None:
    lights = kb.measurements["lights_while_cranking"]
    found = pooled(lights, "dim", "dim", "go_out")
    assert (found.value, found.repeats, len(found.set_aside)) == ("go_out", 1, 2)
    scattered = pooled(lights, "dim", "dim", "go_out", scatters=True)
    assert (scattered.value, scattered.repeats, len(scattered.groups)) == ("dim", 2, 2)


@given(st.lists(st.floats(0, 20), min_size=1, max_size=6), st.booleans())
def test_every_take_either_stands_or_is_set_aside_and_the_last_always_stands(
    values: list[float], scatters: bool
) -> None:
    m = replace(SHIPPED.measurements["positive_cable_drop"], error=MeterError(0.06, 0.005))
    takes = [take(value) for value in values]
    found = pool(m, 0, True, takes, scatters)
    assert sorted(map(id, [*found.readings, *found.set_aside])) == sorted(map(id, takes))
    assert found.readings[-1] is takes[-1]
    assert found.sd > 0.0
    assert min(values) - 1e-12 <= float(found.value) <= max(values) + 1e-12


EQUIPMENT = {"disconnect_switch": "positive", "ground_path": "frame", "positive_cables": 2}


def machine_with(kb: Knowledge, name: str) -> Case:
    """A machine that has the part which the measurement reads."""
    only, equipment = kb.measurements[name].only, dict[str, Any](EQUIPMENT)
    for fact in sorted(only.names()) if only else ():
        for value in kb.equipment[fact].values:
            if only and only.holds(Facts({**equipment, fact: value}, {})) is not False:
                equipment[fact] = value
                break
    return Case(kb, equipment)


def causes(case: Case) -> dict[str | None, float]:
    return {cause.fault: cause.probability for cause in case.causes()}


def figures(case: Case, m: Measurement) -> tuple[float | str, ...]:
    """Values of a measurement far apart; a start seen to be normal is a take of its own sort."""
    if not m.numeric:
        return m.bands[1:] if "symptom" in m.kinds else m.bands
    least, most = (bound(limit, case.assessment.now.facts) or 0.0 for limit in (m.least, m.most))
    return tuple(round(least + part * (most - least), 3) for part in (0.02, 0.2, 0.5, 0.9))


@pytest.mark.parametrize("name", one_in(4, sorted(SHIPPED.measurements)))
def test_a_corrected_reading_gives_the_causes_of_the_right_one_alone(kb: Knowledge, name: str) -> None:
    m, empty = kb.measurements[name], machine_with(kb, name)
    values = figures(empty, m)
    alone = {y: causes(empty.what_if(name, y)) for y in values}
    for x, y in pairwise((*values, *values[::-1])):
        if x != y:
            corrected = empty.what_if(name, x).what_if(name, y)
            first, second = corrected.entries[-2:]
            assert isinstance(first, Reading)
            assert isinstance(second, Reading)
            assert not agree(m, first, second)
            assert causes(corrected) == pytest.approx(alone[y], abs=0.001)
