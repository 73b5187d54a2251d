"""Benchmark cases are real cases, and the exponent is the slope of a line."""

from __future__ import annotations

import pytest
from bench_cases import exponent, generated_case, shipped_case
from generated_bases import Size
from shipped_base import shipped_knowledge


def test_the_shipped_case_takes_all_its_readings_and_still_has_something_to_measure() -> None:
    case = shipped_case(shipped_knowledge())
    read = case.read()
    assert len(read.entries) == len(case.readings)
    for value in case.values[:2]:
        assert read.what_if(case.more, value).suggestions()


def test_every_further_value_is_one_that_was_not_read_before() -> None:
    case = generated_case(shipped_knowledge(), Size(10, 20))
    assert len(set(case.values)) == len(case.values)
    assert case.more not in [name for name, _ in case.readings]


@pytest.mark.parametrize("power", [0.5, 1.0, 2.0, 3.0])
def test_the_exponent_is_the_power_that_the_points_follow(power: float) -> None:
    assert exponent((x, 3.0 * x**power) for x in (10.0, 50.0, 200.0)) == pytest.approx(power)
