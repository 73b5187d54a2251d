"""The sheet of a case of the store: what its events say beside its readings; a pure function."""

from __future__ import annotations

from crankpath.shell.outlets.pages import EntryMeta, Sheet, SheetMeta, SheetNote, sheet_of
from crankpath.shell.outlets.pages.sheet.data import FileLine
from crankpath.shell.recordings.trace import crank_trace
from crankpath.shell.session.screens.listing import event_words, said_by, size_of
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.files.attachments import Attachments
from crankpath.shell.store.order import local_time


def pictures_of(sheet: Sheet, place: str) -> dict[str, str]:
    """Digest -> a small picture of each photo of a sheet, from the files beside the store at a place."""
    kept = Attachments(place)
    return {file.digest: kept.picture(file.digest) for file in sheet.files}


def papers(state: CaseState) -> tuple[tuple[str, str], ...]:
    """What the shop's papers ask for: label and value, the last that was told of each."""
    bodies = [event.body for event in state.events if event.kind == "papers"]
    told = {str(body.get("label")): str(body.get("text") or "") for body in bodies}
    return tuple((label, text) for label, text in told.items() if text)


def case_sheet(state: CaseState, written_at: str, machine: str = "") -> Sheet:
    """The sheet of a case as it stands.

    Args:
        state: the case. written_at: when the sheet is made. machine: to stand on top instead of its own name.
    """
    told, notes, numbers = [], [], {}
    for entered in state.entered:
        event = entered.event
        at = local_time(event.at)
        said = str(event.body.get("note") or "")
        if entered.entry is not None:
            told.append(EntryMeta(at, said_by(event), said))
            numbers[event.id] = len(told)
        elif entered.trouble:
            notes.append(
                SheetNote(f"not used: {event_words(state.kb, event)}; {entered.trouble}", at, said_by(event))
            )
        elif event.kind == "note":
            trace = crank_trace(state.kb, event.body)
            notes.append(SheetNote(str(event.body.get("text") or ""), at, said_by(event), trace))
    meta = SheetMeta(
        name=state.name,
        machine=machine or state.machine,
        complaint=state.complaint or "",
        written_at=written_at,
        told=tuple(told),
        cautions=tuple(c for c in state.kb.cautions if c in state.cautions),
        confirmed=state.causes,
        notes=tuple(notes),
        closed=state.closed,
        fields=papers(state),
        files=tuple(
            FileLine(
                str(e.body.get("file")), size_of(e.body), str(e.body.get("digest")),
                numbers.get(str(e.body.get("event")), 0),
            )
            for e in state.events
            if e.kind == "attached"
        ),
    )
    return sheet_of(state.case, meta)
