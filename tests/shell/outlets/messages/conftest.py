"""The shipped knowledge on a machine that has every part, and a small invented circuit."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge

SAFE = ("high_voltage_drive", "people_at_machine", "battery_frozen_or_damaged", "liquid_possible")


@pytest.fixture
def every_part(shipped: Knowledge) -> Case:
    """A fresh case on a machine on which every reading can be taken."""
    flags = {f.id: True for f in shipped.equipment.values() if set(f.values) == {True, False}}
    flags |= dict.fromkeys(SAFE, False)
    parts = {"system_voltage": 24, "disconnect_switch": "positive", "ground_path": "frame"}
    return Case(shipped, {**flags, **parts})


@pytest.fixture
def small_case(small: Knowledge) -> Callable[..., Case]:
    """Makes a case of the small circuit: small_case(crank_behaviour="slow", ...)."""

    def make(**read: str) -> Case:
        case = Case(small)
        for name, value in read.items():
            case.record(name, value)
        return case

    return make


@pytest.fixture
def proven(small_case: Callable[..., Case]) -> Case:
    """A case in which the positive cable is proven."""
    read: Mapping[str, str] = {
        "crank_behaviour": "slow", "positive_leg_drop": "0.9 V", "negative_leg_drop": "90 mV",
        "battery_crank_voltage": "10.9",
    }  # fmt: skip
    return small_case(**read)
