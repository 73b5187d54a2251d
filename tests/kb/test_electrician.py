"""The advice beside a good electrician: thirty faults, as many readings, the same part."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml
from shipped_base import shipped_knowledge

from crankpath.engine.physics.tables import PhysicsError
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.solved.machine import Machine
from crankpath.engine.trials.policies import Advice
from crankpath.engine.trials.trial import TrialOutcome, run_trial

CASES: list[dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "electrician.yaml").read_text("utf-8"))
KB = shipped_knowledge()


def machine_of(written: dict[str, Any]) -> Machine:
    """The first machine drawn that has the fault, the complaint and the equipment."""
    wanted = written.get("equipment", {}).items()
    for seed in range(400):
        try:
            faults = {written["fault"]: written["degree"]}
            found = draw_machine(Random(f"electrician {seed}"), KB, "first", faults)
        except PhysicsError:
            continue
        fits = all(found.equipment.get(name) == value for name, value in wanted)
        if fits and not found.intermittent and found.behaviour() == written["does"]:
            return found
    raise AssertionError(f"no machine {written['does']} with {written['fault']} {written['degree']}")


@cache
def outcomes() -> tuple[TrialOutcome, ...]:
    return tuple(run_trial(KB, machine_of(written), Advice(), Random("electrician")) for written in CASES)


@pytest.mark.slow
def test_every_fault_is_cured_without_a_part_that_was_not_needed() -> None:
    assert [(o.truth, o.wrong) for o in outcomes() if o.wrong or not o.cured] == []


@pytest.mark.slow
def test_the_advice_takes_hardly_more_readings_than_the_electrician() -> None:
    assert sum(len(o.readings) for o in outcomes()) <= 1.2 * sum(len(case["reads"]) for case in CASES)
