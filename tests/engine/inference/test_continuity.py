"""No cause jumps: a small step of a reading, in the meter's own measure, moves no chance far."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from random import Random

import pytest

from crankpath.engine import Case
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.ranges import number, scale_of
from crankpath.engine.knowledge.records import Knowledge

STEP = 0.25  # of the reading's stated error
MOST = 0.1

MACHINES = (
    {"system_voltage": 12, "disconnect_switch": "positive", "ground_path": "frame"},
    {"system_voltage": 24, "battery_count": 2},
)
COMPLAINTS = ("slow", "single_click", "silent")


def metered(kb: Knowledge) -> list[str]:
    return [m.id for m in kb.measurements.values() if m.numeric]


def complained(kb: Knowledge) -> Iterator[Case]:
    """Every machine with every complaint."""
    for equipment, complaint in product(MACHINES, COMPLAINTS):
        case = Case(kb, equipment)
        case.record("crank_behaviour", complaint)
        yield case


def moves(cases: Sequence[Case], name: str, samples: int) -> Iterator[tuple[str, float, str | None, float]]:
    """(complaint, reading, cause, move) for steps at drawn places of the whole scale."""
    rng = Random(name)
    for plain in cases:
        measurement = plain.kb.measurements[name]
        if name not in plain.assessment.model.measurements:
            continue
        scale = scale_of(measurement)
        most = number(measurement.most, plain.assessment.now.facts) or 1e4
        for _ in range(samples):
            at = rng.uniform(0.0, 0.98 * scale.position(most))
            before, after = (chances(plain, name, scale.value(u)) for u in (at, at + STEP))
            for cause, chance in before.items():
                yield str(plain.entries[0]), scale.value(at), cause, abs(after[cause] - chance)


def chances(case: Case, name: str, value: float) -> dict[str | None, float]:
    entry = case.read(name, f"{value:.6f} {case.kb.measurements[name].unit}")
    posterior = Assessment(case.assessment.model, (*case.entries, entry)).posterior
    return {**posterior.fault_marginals(), None: posterior.unlisted}


@pytest.mark.parametrize("samples", [1, pytest.param(150, marks=pytest.mark.slow)])
def test_no_cause_moves_far_in_a_quarter_of_the_error(kb: Knowledge, samples: int) -> None:
    cases = list(complained(kb))
    worst = max(
        ((move, name, *where) for name in metered(kb) for *where, move in moves(cases, name, samples)),
        key=lambda one: one[0],
    )
    assert worst[0] <= MOST, worst
