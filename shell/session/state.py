"""What a case's events amount to. A pure function of the events in force and the knowledge base."""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import inf
from typing import Any, Protocol

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.entries import Entry, Repaired
from crankpath.engine.knowledge.records import SYMPTOM_KIND, Knowledge
from crankpath.shell.store.order import live_events
from crankpath.shell.store.records import Event


@dataclass(frozen=True, slots=True)
class EnteredEvent:
    """An event that says something of the machine: its entry in the case, or why it has none."""

    event: Event
    entry: Entry | None
    trouble: str = ""


@dataclass(frozen=True)
class CaseState:
    """A case as it stands.

    Attributes:
        case: the engine's case with every entry that could go in.
        entered: readings, cannots, tries, repairs and notes, in order.
        told: equipment facts that were told; asked: which questions about it were answered.
        untold: a reading of which it must be asked whether the machine was failing.
        skipped: measurements put off; cautions: ids that were shown; passed: (act, caution) that were
            seen for the act that comes next.
        causes: confirmed faults of a closed case.
    """

    id: str
    kb: Knowledge
    case: Case
    name: str = ""
    machine: str = ""
    complaint: str | None = None
    told: Mapping[str, Any] = field(default_factory=dict)
    lacks: frozenset[str] = frozenset()
    asked: frozenset[str] = frozenset()
    entered: tuple[EnteredEvent, ...] = ()
    untold: Event | None = None
    skipped: frozenset[str] = frozenset()
    cautions: frozenset[str] = frozenset()
    passed: frozenset[tuple[str, str]] = frozenset()
    closed: bool = False
    causes: tuple[str, ...] = ()
    events: tuple[Event, ...] = ()

    @property
    def repair_pending(self) -> Repaired | None:
        """The repair that was made and is not yet proven, if there is one."""
        repairs = self.case.assessment.repairs
        return repairs[-1] if repairs and repairs[-1].cured is None else None

    def of_one_crank(self, event: Event) -> tuple[Event, ...]:
        """This reading and others of its crank of which it must still be told whether it failed."""
        crank = event.body.get("crank")
        if crank is None:
            return (event,)
        waiting = (e.event for e in self.entered if e.entry is None and not e.trouble)
        own = ("reading", event.origin, crank)
        return tuple(w for w in waiting if (w.kind, w.origin, w.body.get("crank")) == own)



class CaseFactory(Protocol):
    """Makes an empty case for a machine; the same machine gives one that shares what was worked out."""

    def __call__(self, facts: Mapping[str, Any], lacks: frozenset[str], round_trip: float = ..., /) -> Case:
        """Facts, tools that are not at hand, minutes from a question to its answer."""
        ...


def machines(kb: Knowledge) -> CaseFactory:
    """Empty cases, each machine's worked out once."""
    made: dict[tuple[str, frozenset[str], float], Case] = {}

    def empty(facts: Mapping[str, Any], lacks: frozenset[str], round_trip: float = 0.0) -> Case:
        key = (repr(sorted(facts.items(), key=str)), lacks, round_trip)
        if key not in made:
            made[key] = Case(kb, facts, lacks, round_trip)
        return copy.copy(made[key])

    return empty


def case_state(kb: Knowledge, empty: CaseFactory, case_id: str, events: Sequence[Event],
               before: CaseState | None = None) -> CaseState:  # fmt: skip
    """The state that the events make.

    Args:
        kb: the knowledge base.
        empty: makes the engine's case for a machine.
        case_id: the case.
        events: all its events, in any order.
        before: an earlier state of the case; only what came after it is worked out.
    """
    live = live_events(events)
    if before is not None and before.events == live[: len(before.events)]:
        state, rest = before, live[len(before.events) :]
        if not any(_changes_the_past(event) for event in rest):
            return replace(_folded(state, rest, _cranks(live)), events=live)
    told, lacks, round_trip = _machine(live)
    try:
        case, trouble = empty(told, lacks, round_trip), None
    except CaseError as slip:
        case, trouble = empty({}, frozenset()), str(slip)
    state = CaseState(case_id, kb, case, told=told, lacks=lacks)
    if trouble:
        state = replace(state, told={}, entered=(EnteredEvent(live[0], None, trouble),))
    return replace(_folded(state, live, _cranks(live)), events=live)


def _changes_the_past(event: Event) -> bool:
    return event.kind == "equipment" or (event.kind == "repaired" and event.body.get("cured") is not None)


def _machine(live: Sequence[Event]) -> tuple[dict[str, Any], frozenset[str], float]:
    """Facts, tools that are not at hand, minutes from a question to its answer."""
    told: dict[str, Any] = {}
    lacks: frozenset[str] = frozenset()
    round_trip = 0.0
    for event in live:
        if event.kind == "equipment":
            facts = event.body.get("facts")
            if isinstance(facts, Mapping):
                told.update(facts)
            if isinstance(event.body.get("lacks"), list):
                lacks = frozenset(map(str, event.body["lacks"]))
            minutes = event.body.get("round_trip")
            if isinstance(minutes, int | float) and 0 <= minutes < inf:
                round_trip = float(minutes)
    return {name: value for name, value in told.items() if value is not None}, lacks, round_trip


def _cranks(live: Sequence[Event]) -> dict[str, int]:
    """Id of a reading -> number of its crank in the case.

    Two shells that worked apart may have given one number to two cranks: the later one gets the next
    that is free.
    """
    numbers: dict[tuple[str, int], int] = {}
    found: dict[str, int] = {}
    for event in live:
        told = event.body.get("crank")
        if event.kind != "reading" or not isinstance(told, int):
            continue
        key = (event.origin, told)
        if key not in numbers:
            taken = numbers.values()
            numbers[key] = told if told not in taken else max(taken) + 1
        found[event.id] = numbers[key]
    return found


def _folded(state: CaseState, live: Sequence[Event], cranks: Mapping[str, int]) -> CaseState:
    outcomes = _outcomes(live)
    case = copy.copy(state.case)
    entered, untold = list(state.entered), state.untold
    later: dict[str, Any] = {}
    for event in live:
        if any(event is told for told in outcomes.values()):
            continue  # tells how an earlier repair came out
        if event.kind in ("reading", "cannot", "tries", "repaired", "note"):
            item, waits = _entered(case, event, outcomes, cranks.get(event.id))
            entered.append(item)
            untold = event if waits else untold
        later = _heading(state, later, event)
    return replace(state, case=case, entered=tuple(entered), untold=untold, **later)


def _outcomes(live: Sequence[Event]) -> dict[str, Event]:
    """Id of a repair whose outcome was told later -> the event that told it."""
    found: dict[str, Event] = {}
    open_repair: Event | None = None
    for event in live:
        if event.kind != "repaired":
            continue
        same = open_repair is not None and open_repair.body.get("repair") == event.body.get("repair")
        if open_repair is not None and same and event.body.get("cured") is not None:
            found[open_repair.id] = event
        open_repair = event if event.body.get("cured") is None else None
    return found


def _entered(case: Case, event: Event, outcomes: Mapping[str, Event],
             crank: int | None) -> tuple[EnteredEvent, bool]:  # fmt: skip
    """The event's entry put into the case; True if it waits for being told whether it failed."""
    body = event.body
    count = len(case.entries)
    try:
        if event.kind == "reading":
            name = str(body.get("measurement"))
            value = body["text"] if body.get("text") is not None else body.get("value")
            symptom = body.get("symptom")
            if symptom is None and asks_symptom(case, name):
                return EnteredEvent(event, None), True
            case.record(name, value, symptom is not False, cable_of(body), crank)  # type: ignore[arg-type]
        elif event.kind == "cannot":
            case.cannot(str(body.get("measurement")))
        elif event.kind == "tries":
            counted = int(body.get("failures", 0)), int(body.get("of", 0))
            case.tries(*counted, waiting=body.get("waiting") is True)
        elif event.kind == "repaired":
            case.repaired(str(body.get("repair")), _cured(event, outcomes))
    except (CaseError, TypeError, ValueError, LookupError, ArithmeticError) as slip:
        return EnteredEvent(event, None, str(slip) or "it cannot be read"), False
    return EnteredEvent(event, case.entries[-1] if len(case.entries) > count else None), False


def cable_of(body: Mapping[str, Any]) -> int:
    """Which of the cables in parallel a reading's event is of."""
    return body["cable"] if isinstance(body.get("cable"), int) else 1


def _cured(event: Event, outcomes: Mapping[str, Event]) -> bool | None:
    told = event.body.get("cured")
    if event.id in outcomes:
        told = outcomes[event.id].body.get("cured")
    return told if isinstance(told, bool) else None


def asks_symptom(case: Case, measurement: str) -> bool:
    """True if it must be told whether the machine was failing while this was read."""
    known = case.kb.measurements.get(measurement)
    return (
        known is not None
        and case.assessment.intermittent
        and case.assessment.shows(known)
        and SYMPTOM_KIND not in known.kinds
        and all(s.finer_as != measurement for s in case.assessment.model.symptoms)
    )


def _heading(state: CaseState, later: dict[str, Any], event: Event) -> dict[str, Any]:
    """What the case is called, what was asked, shown, put off, and whether it is closed."""
    body = event.body

    def now(name: str) -> Any:
        return later.get(name, getattr(state, name))

    if event.kind in ("opened", "renamed", "equipment"):
        for name in ("name", "machine"):
            if body.get(name):
                later[name] = str(body[name])
        if body.get("asked"):
            later["asked"] = now("asked") | {str(body["asked"])}
    elif event.kind == "complaint":
        later["complaint"] = str(body.get("text") or "")
    elif event.kind == "skip":
        later["skipped"] = now("skipped") | {str(body.get("measurement"))}
    elif event.kind == "caution_shown":
        caution = str(body.get("caution"))
        later["cautions"] = now("cautions") | {caution}
        later["passed"] = now("passed") | {(str(body.get("act")), caution)}
    elif event.kind in ("reading", "repaired") or (event.kind == "tries" and not body.get("waiting")):
        later["passed"] = frozenset()
    elif event.kind == "closed":
        causes = body.get("causes")
        later["closed"], later["causes"] = True, tuple(map(str, causes)) if isinstance(causes, list) else ()
    elif event.kind == "reopened":
        later["closed"], later["causes"] = False, ()
    return later
