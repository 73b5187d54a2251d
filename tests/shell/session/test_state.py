"""What a case's events amount to: which crank a reading is of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.handover import handover
from crankpath.shell.desk.sheet import case_sheet
from crankpath.shell.outlets.pages import sheet_text
from crankpath.shell.session.questions import question
from crankpath.shell.session.screens.asking import asking
from crankpath.shell.session.screens.listing import entry_list
from crankpath.shell.session.state import CaseState, case_state, machines
from crankpath.shell.session.transfer import case_text, events_of_text
from crankpath.shell.store import Event

CASE = "0" * 32


def event(number: int, kind: str, origin: str = "a", **body: object) -> Event:
    at = f"2031-05-04T08:{number:02d}:00Z"
    return Event(f"{number:032x}", CASE, number, kind, body, at, at, "technician", origin)


def drop(number: int, crank: object, origin: str = "a") -> Event:
    body = {"measurement": "positive_leg_drop", "text": "0.3 V", "symptom": True, "crank": crank}
    return event(number, "reading", origin, **body)


def cranks(state: CaseState) -> list[int | None]:
    return [entry.crank for entry in state.case.entries if isinstance(entry, Reading)]


def state_of(kb: Knowledge, events: Sequence[Event], before: CaseState | None = None) -> CaseState:
    return case_state(kb, machines(kb), CASE, events, before)


def test_readings_of_one_crank_share_its_number(small: Knowledge) -> None:
    told = [event(0, "opened", name="a"), drop(1, 1), drop(2, 1), drop(3, None), drop(4, 2), drop(5, "two")]
    assert cranks(state_of(small, told)) == [1, 1, None, 2, None]


def test_two_shells_that_worked_apart_never_mix_their_cranks(small: Knowledge) -> None:
    drops = [drop(1, 1), drop(2, 1, "b"), drop(3, 1), drop(4, 2), drop(5, 1, "b")]
    told = [event(0, "opened", name="a"), *drops]
    assert cranks(state_of(small, told)) == [1, 2, 1, 3, 2]


def test_the_numbers_are_the_same_whether_entries_come_one_by_one_or_at_once(small: Knowledge) -> None:
    told = [event(0, "opened", name="a"), drop(1, 1), drop(2, 1, "b"), drop(3, 1), drop(4, 2)]
    state = state_of(small, told[:2])
    for count in range(3, len(told) + 1):
        state = state_of(small, told[:count], state)
    assert cranks(state) == cranks(state_of(small, told)) == [1, 2, 1, 3]


def test_a_crank_comes_through_a_file_and_back(small: Knowledge) -> None:
    state = state_of(small, [event(0, "opened", name="a"), drop(1, 4), drop(2, 4), drop(3, None)])
    _, writes = events_of_text(case_text(state), "a.yaml", small)
    again = state_of(small, [event(n, write.kind, **write.body) for n, write in enumerate(writes)])
    assert cranks(again) == [4, 4, None]


ODD: list[tuple[str, dict[str, object]]] = [
    ("watch", {"meters": 2}),
    ("reading", {"measurement": ["a"], "text": [1]}),
    ("tries", {"failures": "9" * 400, "of": "9" * 401}),
    ("repaired", {"repair": ["a"]}),
    ("equipment", {"facts": {"system_voltage": ["a"], "cables": 3}, "lacks": [["x"]]}),
    ("closed", {"causes": [["a"], 3]}),
    ("sent", {"text": 5, "waits_for": [1]}),
    ("promised", {"text": [1], "kept": 3}),
    ("caution_shown", {"caution": ["q"]}),
    ("renamed", {"name": ["q"]}),
]


@pytest.mark.parametrize(("kind", "body"), ODD)
def test_an_entry_that_another_version_wrote_ends_nothing(
    small: Knowledge, kind: str, body: dict[str, object]
) -> None:
    told = [event(0, "opened", name="a"), drop(1, 1), event(2, kind, **body)]
    state = state_of(small, told)
    assert len(state.events) == 3
    assert entry_list(state, 60)
    assert asking(state, question(state), 60)
    assert handover(state, told[0].at, 60)
    assert sheet_text(case_sheet(state, told[0].at))
    assert case_text(state)


def test_who_said_it_and_when_comes_through_a_file_and_back(small: Knowledge) -> None:
    told = [
        event(0, "opened", name="a"),
        replace(drop(1, 1), by="field"),
        replace(event(2, "tries", failures=3, of=10), by="operator"),
        replace(event(3, "note", text="rained"), by="advisor"),
    ]
    _, writes = events_of_text(case_text(state_of(small, told)), "a.yaml", small)
    kept = [(w.kind, w.by, w.at, w.body.get("imported")) for w in writes if w.at]
    assert kept == [(e.kind, e.by, e.at, True) for e in told[1:]]
