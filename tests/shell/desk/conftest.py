"""Cases made from entries, on an invented circuit of four points."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session.state import CaseState, case_state, machines
from crankpath.shell.store import Event

CASE = "0" * 32


def entry(number: int, kind: str, body: Mapping[str, Any], by: str = "technician") -> Event:
    """An entry made `number` minutes after eight."""
    at = f"2031-05-04T{8 + number // 60:02d}:{number % 60:02d}:00Z"
    return Event(f"{number:032x}", CASE, number, kind, body, at, at, by, "a")


Told = tuple[str, Mapping[str, Any]] | tuple[str, Mapping[str, Any], str]


@pytest.fixture
def case(small: Knowledge) -> Callable[..., CaseState]:
    """The state that some (kind, body[, by]) make, a minute apart; the case is opened first."""

    def make(*told: Told, kb: Knowledge = small) -> CaseState:
        opened: Told = ("opened", {"name": "cranks slowly"})
        events = [entry(n, *one) for n, one in enumerate((opened, *told))]
        return case_state(kb, machines(kb), CASE, events)

    return make


TAKEN: tuple[Told, ...] = (
    ("complaint", {"text": "cranks slowly"}, "operator"),
    ("reading", {"measurement": "crank_behaviour", "text": "slow", "symptom": True}, "operator"),
    ("reading", {"measurement": "occurrence", "text": "every_time", "symptom": True}, "operator"),
    ("equipment", {"facts": {"system_voltage": 12}, "asked": "machine", "machine": "loader 7"}),
    ("equipment", {"facts": {}, "asked": "when"}),
)
"""A case that is taken: what it does, since when, which machine."""
