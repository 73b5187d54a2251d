"""The sheet of a case of the store: what its events say beside its readings; a pure function."""

from __future__ import annotations

from crankpath.shell.outlets.pages import EntryMeta, Note, Sheet, SheetMeta, sheet_of
from crankpath.shell.recordings.trace import crank_trace
from crankpath.shell.session.screens.listing import event_words, said_by
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.order import local_time


def case_sheet(state: CaseState, written_at: str, machine: str = "") -> Sheet:
    """The sheet of a case as it stands.

    Args:
        state: the case. written_at: when the sheet is made. machine: to stand on top instead of its own name.
    """
    told, notes = [], []
    for entered in state.entered:
        event = entered.event
        at = local_time(event.at)
        said = str(event.body.get("note") or "")
        if entered.entry is not None:
            told.append(EntryMeta(at, said_by(event), said))
        elif entered.trouble:
            notes.append(
                Note(f"not used: {event_words(state.kb, event)}; {entered.trouble}", at, said_by(event))
            )
        elif event.kind == "note":
            trace = crank_trace(state.kb, event.body)
            notes.append(Note(str(event.body.get("text") or ""), at, said_by(event), trace))
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
    )
    return sheet_of(state.case, meta)
