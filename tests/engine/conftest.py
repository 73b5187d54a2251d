"""The shipped knowledge, loaded once, and cases of it in a line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge

CaseOf = Callable[..., Case]


@pytest.fixture(scope="session")
def case_of(kb: Knowledge) -> CaseOf:
    """A case from readings as typed, ``"measurement value"`` each; a ``~`` at the end: symptom away."""

    def make(*readings: str, lacks: frozenset[str] = frozenset(), **equipment: Any) -> Case:
        case = Case(kb, equipment, lacks)
        for reading in readings:
            measurement, _, value = reading.partition(" ")
            case.record(measurement, value.rstrip("~ "), symptom=not value.endswith("~"))
        return case

    return make
