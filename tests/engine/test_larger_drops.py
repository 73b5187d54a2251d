"""The larger a drop, the surer a bad place across it: from the limit to all of the battery, and doubled.

A hundredth is left for pairs: two bad places share a large drop more often than a small one. Across
the solenoid's contacts the whole battery means that they are open, whoever failed to close them, so
there the size speaks only while the motor turns. Cables that are too thin never lose several volts.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from sampled import one_in

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge

COMPLAINTS = (None, "slow", "single_click", "silent", "chatter")
LEFT = 0.99  # of the odds


def odds(case: Case, measurement: str, value: float, faults: set[str]) -> dict[str, float]:
    causes = case.what_if(measurement, value).causes()
    return {c.fault: c.probability / (1.0 - c.probability) for c in causes if c.fault in faults}


def weaker(case: Case, measurement: str, low: float, high: float, points: int) -> list[str]:
    """Where a larger reading speaks less for a bad place across it, told."""
    model = case.assessment.model
    across = {model.elements[place].fault for place in model.covered(measurement)}
    faults = {f for f in across if "main_resistance" in model.faults[f].kinds}
    values = [low * (high / low) ** (place / (points - 1)) for place in range(points)]
    swept = [(value, odds(case, measurement, value, faults)) for value in values]
    doubled = [
        (pair, odds(case, measurement, 2.0 * pair[0], faults)) for pair in swept if 2.0 * pair[0] <= high
    ]
    steps = [(value, before, after) for (value, before), (_, after) in pairwise(swept)]
    steps += [(value, before, after) for (value, before), after in doubled]
    return [
        f"{measurement} from {value:.2f} V: {fault} {before[fault]:.1f} to {after[fault]:.1f}"
        for value, before, after in steps
        for fault in sorted(faults)
        if after[fault] < LEFT * before[fault]
    ]


@pytest.mark.parametrize("points", [5, pytest.param(20, marks=pytest.mark.slow)])
@pytest.mark.parametrize("complaint", COMPLAINTS)
@pytest.mark.parametrize("volts", one_in(2, [12, 24]))
def test_a_larger_drop_never_speaks_less_for_a_bad_place_across_it(
    kb: Knowledge, volts: int, complaint: str | None, points: int
) -> None:
    case = Case(kb, {"system_voltage": volts, "disconnect_switch": "positive", "ground_path": "frame"})
    if complaint:
        case.record("crank_behaviour", complaint)
    drops = [m for m in case.assessment.model.measurements.values() if "loaded_drop" in m.kinds]
    found = []
    for drop in drops:
        if "contact_drop" in drop.kinds and complaint != "slow":
            continue
        low = 0.5 if {"leg_drop", "cable_drop"} & {*drop.kinds} else 0.2
        found += weaker(case, drop.id, low * volts / 12, 12.2 * volts / 12, points)
    assert found == []
