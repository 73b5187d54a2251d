"""A case as a file's text and back; the format is that of `crankpath.engine.cases.casefile`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from crankpath.engine.cases.casefile import (
    CannotEntry,
    CaseEntry,
    CaseFile,
    NoteEntry,
    ReadingEntry,
    RepairedEntry,
    TriesEntry,
    load_case,
)
from crankpath.engine.cases.casefile_text import dump_case
from crankpath.engine.cases.from_other_base import carried
from crankpath.engine.cases.replay import replay
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.entries import Reading, Repaired
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session.outcome import Write
from crankpath.shell.session.state import CaseState, EnteredEvent, cable_of
from crankpath.shell.text.clean import one_line

_SOURCES: Final = {"field_technician": "field"}  # what a file may call them -> as the store does

def case_text(state: CaseState) -> str:
    """The case as YAML that ``crankpath diagnose`` reads; what could not be used becomes a note."""
    file = CaseFile(
        equipment=dict(state.told),
        entries=tuple(_file_entry(entered) for entered in state.entered),
        complaint=state.complaint or None,
        about=state.machine or state.name or None,
        lacks=tuple(sorted(state.lacks)),
        round_trip=state.case.round_trip,
    )
    return dump_case(file)


def _file_entry(entered: EnteredEvent) -> CaseEntry:
    event = entered.event
    body = event.body
    common: dict[str, Any] = {"at": event.at, "by": event.by}
    if event.kind == "reading" and entered.entry is not None:
        value: Any = body["text"] if body.get("text") is not None else body.get("value")
        measurement, symptom = str(body["measurement"]), body.get("symptom") is not False
        crank = entered.entry.crank if isinstance(entered.entry, Reading) else None
        return ReadingEntry(measurement, value, symptom, cable_of(body), crank, **common)
    if event.kind == "cannot" and not entered.trouble:
        return CannotEntry(str(body["measurement"]), **common)
    if event.kind == "tries" and not entered.trouble:
        return TriesEntry(int(body["failures"]), int(body["of"]), body.get("waiting") is True, **common)
    if isinstance(entered.entry, Repaired):
        return RepairedEntry(entered.entry.repair, entered.entry.cured, **common)
    text = str(body.get("text") or body)
    return NoteEntry(note=f"not used: {text}" if entered.trouble else text, **common)


def events_of_text(text: str | bytes, file: str, kb: Knowledge) -> tuple[str, tuple[Write, ...]]:
    """A name for the case a file holds, and the entries that make it.

    Raises:
        CaseError: it is no case of this knowledge base; the message lists every slip.
    """
    case, _ = carried(load_case(text, file), kb)
    problems = replay(kb, case).problems
    if problems:
        raise CaseError("\n".join(str(problem) for problem in problems))
    name = one_line(case.about or case.complaint or file, 80)
    return name, tuple(_writes(case))


def _writes(case: CaseFile) -> Iterator[Write]:
    yield Write("complaint", {"text": case.complaint or "", "imported": True})
    told: dict[str, Any] = {"facts": dict(case.equipment), "asked": "machine", "imported": True}
    told |= {"lacks": list(case.lacks)} if case.lacks else {}
    yield Write("equipment", told | ({"round_trip": case.round_trip} if case.round_trip else {}))
    yield Write("equipment", {"facts": {}, "asked": "when"})
    for entry in case.entries:
        kind, body = _written(entry)
        by = _SOURCES.get(entry.by or "", entry.by or "technician")
        yield Write(kind, body | {"imported": True}, by, entry.at or "")


def _written(entry: CaseEntry) -> tuple[str, dict[str, Any]]:
    """The kind and the body of an entry of a file, as the store keeps them."""
    note = {"note": entry.note} if entry.note else {}
    match entry:
        case ReadingEntry():
            body: dict[str, Any] = {"measurement": entry.measurement, "text": str(entry.value),
                                    "symptom": entry.symptom}  # fmt: skip
            body |= {"cable": entry.cable} if entry.cable != 1 else {}
            body |= {"crank": entry.crank} if entry.crank is not None else {}
            return "reading", body | note
        case CannotEntry():
            return "cannot", {"measurement": entry.measurement} | note
        case TriesEntry():
            waiting = {"waiting": True} if entry.waiting else {}
            return "tries", {"failures": entry.failures, "of": entry.of} | waiting | note
        case RepairedEntry():
            return "repaired", {"repair": entry.repair, "cured": entry.cured} | note
        case _:
            return "note", {"text": entry.note or ""}
