"""What taking in a case brought, said to a person; pure functions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session.input.guesses import fact_words
from crankpath.shell.session.screens.listing import event_words, said_by
from crankpath.shell.store.records import Event, MergeConflict, MergeReport
from crankpath.shell.text.clean import one_line


def merged(kb: Knowledge, report: MergeReport, events: Sequence[Event] = ()) -> list[str]:
    """How many entries are new, what they change, and every matter on which two copies differ.

    Both sides stay in the case. events: all of the case, the new ones with them.
    """
    new = len(report.added)
    said = [f"{new} new {'entry' if new == 1 else 'entries'}, {report.already} already here."]
    said += _changes(kb, report, events) if report.already else ()
    if report.conflicts:
        count = len(report.conflicts)
        said.append(
            f"The two copies differ in {count} matter{'s' if count > 1 else ''}; both entries are kept:"
        )
    said += [_conflict(kb, conflict) for conflict in report.conflicts]
    if report.conflicts:
        said.append("Of each pair the later entry counts; list shows all, back N takes a wrong one back.")
    return said


def _changes(kb: Knowledge, report: MergeReport, events: Sequence[Event]) -> Iterator[str]:
    """What the new entries change of a case that was here already."""
    new = {event.id for event in report.added}
    by_id = {event.id: event for event in events}
    told: dict[str, Any] = {}
    for event in events:
        if event.id not in new and event.kind == "equipment" and isinstance(event.body.get("facts"), dict):
            told |= event.body["facts"]
    for event in report.added:
        match event.kind:
            case "closed":
                yield f"The file closes the case ({said_by(event)})."
            case "reopened":
                yield f"The file opens the case again ({said_by(event)})."
            case "taken_back" if str(event.body.get("event")) in by_id:
                yield f"The file takes back: {_said(kb, by_id[str(event.body['event'])])}."
            case "equipment" if isinstance(event.body.get("facts"), dict):
                for name, value in event.body["facts"].items():
                    if name in kb.equipment and name in told and told[name] != value:
                        now, was = (fact_words(kb.equipment[name], one) for one in (value, told[name]))
                        yield f"The file makes it {now} instead of {was}."


def _conflict(kb: Knowledge, conflict: MergeConflict) -> str:
    return f"here {_said(kb, conflict.ours)} / in the file {_said(kb, conflict.theirs)}"


def _said(kb: Knowledge, event: Event) -> str:
    return f"{event_words(kb, event)} ({said_by(event)}, {one_line(event.at[:16], 16)})"
