"""What taking in a case brought, said to a person; pure functions."""

from __future__ import annotations

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session.screens.listing import event_words
from crankpath.shell.store.records import Conflict, Event, MergeReport
from crankpath.shell.text.clean import one_line


def merged(kb: Knowledge, report: MergeReport) -> list[str]:
    """How many entries are new, and every matter on which two copies differ; both sides stay in the case."""
    said = [f"{len(report.added)} entries are new here, {report.already} were here already."]
    if report.conflicts:
        count = len(report.conflicts)
        said.append(
            f"The two copies differ in {count} matter{'s' if count > 1 else ''}; both entries are kept:"
        )
    said += [_conflict(kb, conflict) for conflict in report.conflicts]
    if report.conflicts:
        said.append("The later entry of each counts last; list shows all, back N takes a wrong one back.")
    return said


def _conflict(kb: Knowledge, conflict: Conflict) -> str:
    return f"here {_said(kb, conflict.ours)} / in the file {_said(kb, conflict.theirs)}"


def _said(kb: Knowledge, event: Event) -> str:
    return f"{event_words(kb, event)} ({one_line(event.by, 20)}, {one_line(event.at[:16], 16)})"
