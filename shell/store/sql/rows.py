"""Between rows and records."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import sqlalchemy as sa

from crankpath.shell.store.errors import START_AGAIN, StoreDamaged
from crankpath.shell.store.event_data import body_text, digest
from crankpath.shell.store.order import ordered
from crankpath.shell.store.records import CaseSummary, Event
from crankpath.shell.store.sql import tables as t


def event_row(event: Event) -> dict[str, Any]:
    """Return the row of an event."""
    return {
        "id": event.id,
        "case_id": event.case_id,
        "sequence": event.sequence,
        "kind": event.kind,
        "body": body_text(event.body),
        "at": event.at,
        "by": event.by,
        "origin": event.origin,
        "stamp": event.stamp,
        "digest": digest(event),
    }


def event_of_row(values: Sequence[Any]) -> Event | None:
    """Return the event of a row in the table's column order, or None if the row was altered."""
    event_id, case_id, sequence, kind, text, at, by, origin, stamp, check = values
    try:
        body = json.loads(text)
        event = Event(event_id, case_id, int(sequence), kind, body, at, stamp, by, origin)
        return event if isinstance(body, dict) and digest(event) == check else None
    except Exception:  # noqa: BLE001  # whatever a damaged file makes of a row, it is no event
        return None


def load_events(conn: sa.Connection, case_id: str, after: int = 0) -> tuple[Event, ...]:
    """Return the events of a case numbered above `after`, in order.

    Raises:
        StoreDamaged: a row is not what was written, or the whole case was asked for and one is missing.
    """
    of_case = sa.select(t.cases.c.entries).where(t.cases.c.id == case_id).scalar_subquery()
    query = sa.select(*t.events.c, of_case).where(t.events.c.case_id == case_id, t.events.c.sequence > after)
    rows = conn.execute(query).all()
    found = []
    for *row, _ in rows:
        event = event_of_row(row)
        if event is None:
            raise StoreDamaged(f"Entry {row[2]} of case {case_id} is not what was written. {START_AGAIN}")
        found.append(event)
    entries = rows[0][-1] if rows else None
    if not after and entries is not None and len(found) < entries:
        raise StoreDamaged(
            f"Of the {entries} entries of case {case_id} only {len(found)} can be found. {START_AGAIN}"
        )
    return ordered(found)


def case_row(summary: CaseSummary, search: str) -> dict[str, Any]:
    """Return the row of a case, without its number."""
    return {
        "id": summary.id,
        "name": summary.name,
        "machine": summary.machine,
        "complaint": summary.complaint,
        "state": summary.state,
        "is_open": int(summary.state != "closed"),
        "opened_at": summary.opened_at,
        "updated_at": summary.updated_at,
        "waits_for": summary.waits_for,
        "causes": json.dumps(summary.causes),
        "entries": summary.entries,
        "search": search,
        "asked_at": summary.asked_at,
        "promised": summary.promised,
        "due": summary.due,
        "holder": summary.holder,
    }


def case_of_row(row: Any) -> CaseSummary:
    """Return the summary of a row of the cases table."""
    return CaseSummary(
        id=row.id,
        name=row.name,
        machine=row.machine,
        complaint=row.complaint,
        state=row.state,
        opened_at=row.opened_at,
        updated_at=row.updated_at,
        waits_for=row.waits_for,
        causes=tuple(json.loads(row.causes)),
        entries=row.entries,
        asked_at=row.asked_at,
        promised=row.promised,
        due=row.due,
        holder=row.holder,
    )


def numbered(events: Iterable[Event], last: int) -> list[Event]:
    """Return the events in order with sequences after `last`."""
    return [replace(event, sequence=n) for n, event in enumerate(ordered(events), last + 1)]
