"""Lists: the entries of a case, what can be told of a machine."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.reports.readings import value_words
from crankpath.shell.session.input import guesses
from crankpath.shell.session.screens.wording import INDENT, aligned, tries_words
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.records import Event
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import shortened, size_words, wrapped

_TAKEABLE = (
    "equipment", "complaint", "reading", "cannot", "skip", "tries", "repaired", "note", "closed", "sent",
    "promised", "given", "attached", "papers",
)  # fmt: skip
_NARROW = 60
SET_ASIDE = " (set aside)"


def takeable(state: CaseState) -> tuple[Event, ...]:
    """The entries in force that can be taken back, in order."""
    return tuple(event for event in state.events if event.kind in _TAKEABLE)


def event_words(kb: Knowledge, event: Event) -> str:
    """One entry in a few words."""
    body = event.body
    known = kb.measurements.get(str(body.get("measurement")))
    label = known.label if known else str(body.get("measurement"))
    match event.kind:
        case "reading":
            typed = str(body.get("text", body.get("value")))
            symptom = f", on a good {kb.about.one_try}" if body.get("symptom") is False else ""
            text = f"{label}: {value_words(known, typed) if known else typed}{symptom}"
        case "cannot":
            text = f"{label}: cannot be taken"
        case "skip":
            text = f"{label}: put off"
        case "tries":
            text = tries_words(body.get("failures"), body.get("of"), body.get("waiting") is True)
        case "repaired":
            how = {True: "cured", False: "not cured", None: "made"}.get(body.get("cured"), "made")
            repair = kb.repairs.get(str(body.get("repair")))
            text = f"{repair.label if repair else body.get('repair')}: {how}"
        case "complaint":
            text = f'complaint: "{body.get("text")}"' if body.get("text") else "complaint: not known"
        case "equipment":
            text = _equipment_words(kb, event)
        case "note":
            text = f"note: {body.get('text')}"
        case _:
            text = _desk_words(event)
    return one_line(text, 200)


def _desk_words(event: Event) -> str:
    """An entry of the desk beside the case."""
    body = event.body
    match event.kind:
        case "sent":
            return f"sent: {shortened(one_line(str(body.get('text')), 200), 50)}"
        case "promised" if body.get("kept"):
            return "a promise was kept"
        case "promised":
            return f"promised: {body.get('text')}"
        case "given":
            return f"given to {body.get('to') or 'nobody in particular'}"
        case "papers":
            return f"{body.get('label')}: {body.get('text')}"
        case "attached":
            return f"attached: {attached_words(body)}"
        case _:
            return event.kind


def attached_words(body: Mapping[str, Any]) -> str:
    """A file of a case: its name and size."""
    return f"{body.get('file')} ({size_of(body)})"


def size_of(body: Mapping[str, Any]) -> str:
    """The size of an attached file in words."""
    size = body.get("size")
    return size_words(size) if isinstance(size, int) else "size not known"


def _equipment_words(kb: Knowledge, event: Event) -> str:
    facts = event.body.get("facts")
    told = facts if isinstance(facts, dict) else {}
    said = [guesses.fact_words(kb.equipment[f], v) if not isinstance(v, dict) else kb.equipment[f].label
            for f, v in told.items() if f in kb.equipment]  # fmt: skip
    if event.body.get("lacks"):
        lacks = map(str, event.body["lacks"])
        said.append("without " + ", ".join(kb.tools[t].label for t in lacks if t in kb.tools))
    if event.body.get("round_trip") is not None:
        said.append(f"a round trip takes {event.body['round_trip']} min")
    what = "when" if event.body.get("asked") == "when" else f"machine {event.body.get('machine', '')}".strip()
    return f"{what}: {', '.join(said) or 'nothing more'}"


def said_by(event: Event) -> str:
    """Who said it, and that it came from a file if it did."""
    return one_line(event.by, 20) + (", imported" if event.body.get("imported") is True else "")


def entry_list(state: CaseState, width: int) -> list[str]:
    """The entries numbered as `back N` takes them; what could not be used says so."""
    trouble = {e.event.id: e.trouble for e in state.entered if e.trouble}
    stands = state.case.assessment.stands
    aside = {e.event.id: SET_ASIDE for e in state.entered if e.entry and not stands(e.entry)}
    lines: list[str] = []
    for n, event in enumerate(takeable(state), 1):
        lines += wrapped(event_words(state.kb, event) + aside.get(event.id, ""), width, f"{n:>4}  ", "      ")
        if event.id in trouble:
            lines += wrapped(f"not used: {trouble[event.id]}", width, "    ! ", "      ")
    return lines or [f"{INDENT}No entries yet."]


def machine_list(state: CaseState, width: int) -> list[str]:
    """Every fact of a machine that can be told, with what is taken now and what it may be."""
    rows = []
    when = {fact.id for fact in guesses.when_facts(state.kb)}
    known = state.case.equipment
    for fact in state.kb.equipment.values():
        if fact.id in when:
            continue
        value = known.get(fact.id)
        if fact.runs:
            said = "told" if state.told.get(fact.id) else "not known"
            allowed = f"{fact.runs[0]} 70 mm2 2.5 m"
        else:
            said = "not known" if value is None else _plain(value, fact.unit)
            allowed = " / ".join(_plain(v, None) for v in fact.values) or f"a number in {fact.unit}"
        rows.append((shortened(fact.label, 30 if width >= _NARROW else 16), f"{said}  ({allowed})"))
    lacks = ", ".join(state.kb.tools[t].label for t in sorted(state.lacks) if t in state.kb.tools)
    name = [f"{INDENT}{one_line(state.machine, width - 6)}"] if state.machine else []
    more = wrapped("machine 24 V, ... corrects it; machine NAME: ... names it.", width, INDENT)
    missing = wrapped(f"not at hand: {lacks}", width, INDENT) if lacks else []
    return [*name, *aligned(rows, width, most=30), *missing, *more]


def _plain(value: object, unit: str | None) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = f"{value:g}" if isinstance(value, (int, float)) else str(value).replace("_", " ")
    return f"{text} {unit}" if unit else text
