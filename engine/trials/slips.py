"""Readings taken wrongly: leads on other points, a decimal point, nothing switched on."""

from __future__ import annotations

from random import Random
from typing import Final

from crankpath.engine.solved.machine import Machine
from crankpath.engine.solved.meter import ELECTRIC, can_be_taken, unloaded_volts

ONE_IN: Final = 16
"""One meter reading in so many is wrong in the sort of trials that tries it. An estimate."""


def slipped(machine: Machine, measurement: str, value: float, rng: Random, symptom: bool) -> float:
    """What a wrong take of a meter reading shows instead of ``value``, in the same unit."""
    if measurement not in ELECTRIC or rng.random() < 1 / 3:
        return value * rng.choice((0.1, 10.0))
    if rng.random() < 0.5:
        return unloaded_volts(machine, measurement, symptom)
    others = [name for name in ELECTRIC if name != measurement and can_be_taken(machine, name)]
    found = machine.read(rng.choice(others), rng, symptom)
    return found if isinstance(found, float | int) else value
