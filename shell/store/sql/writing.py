"""Writing events and what is derived from them, inside one transaction."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import sqlalchemy as sa

from crankpath.shell.store.errors import BadEvent, UnknownCase
from crankpath.shell.store.event_data import as_stranger, digest
from crankpath.shell.store.order import ordered, stamped
from crankpath.shell.store.records import Event
from crankpath.shell.store.sql import search
from crankpath.shell.store.sql import tables as t
from crankpath.shell.store.sql.rows import case_row, event_row, load_events, numbered
from crankpath.shell.store.summary import summarise_case

_BATCH = 2_000


def lock_case(conn: sa.Connection, case_id: str) -> Any | None:
    """Return (number, search words) of a case and keep other writers off it; None if there is none.

    SQLite's transaction has the whole store already; there the lock is no part of the query.
    """
    query = sa.select(t.cases.c.number, t.cases.c.search).where(t.cases.c.id == case_id)
    return conn.execute(query.with_for_update()).first()


def write_events(conn: sa.Connection, how: str, drafts: Sequence[Event]) -> tuple[Event, ...]:
    """Number, stamp and write events of one case, a known one or one that the first of them opens.

    Writing the same drafts again returns what was written the first time.

    Raises:
        UnknownCase: no such case.
        BadEvent: one takes back what is not in the case, or its opening.
    """
    case_id = drafts[0].case_id
    row = lock_case(conn, case_id)
    if row is None and drafts[0].kind != "opened":
        raise UnknownCase(f"The store has no case {case_id}.")
    known = load_events(conn, case_id)
    ids = {draft.id for draft in drafts}
    if written := tuple(event for event in known if event.id in ids):
        return written
    for draft in drafts:
        _check_target((*known, *drafts), draft)
    last = max((event.sequence for event in known), default=0)
    latest = max((event.stamp for event in known), default="")
    events = tuple(replace(e, sequence=last + n) for n, e in enumerate(stamped(drafts, latest), 1))
    conn.execute(sa.insert(t.events), [event_row(event) for event in events])
    _refresh(conn, how, row, (*known, *events))
    return events


def _check_target(known: Iterable[Event], draft: Event) -> None:
    if draft.kind != "taken_back":
        return
    target = next((event for event in known if event.id == draft.body["event"]), None)
    if target is None:
        raise BadEvent("The entry to be taken back is not in this case.")
    if target.kind == "opened":
        raise BadEvent("The opening of a case cannot be taken back. Close the case instead.")


def merge_events(conn: sa.Connection, how: str, case_id: str, events: Iterable[Event]) -> tuple[Event, ...]:
    """Write the events the case lacks, opening the case if needed; return them numbered.

    An event that says something else than the known one of its id goes in under an id
    made from its content.
    """
    row = lock_case(conn, case_id)
    known = {event.id: event for event in load_events(conn, case_id)}
    lacking: dict[str, Event] = {}
    for event in events:
        mine = known.get(event.id) or lacking.get(event.id)
        if mine is not None and digest(mine) != digest(event):
            event = as_stranger(event)
        if event.id not in known:
            lacking.setdefault(event.id, event)
    if not lacking:
        return ()
    last = max((event.sequence for event in known.values()), default=0)
    added = numbered(lacking.values(), last)
    conn.execute(sa.insert(t.events), [event_row(event) for event in added])
    _refresh(conn, how, row, ordered([*known.values(), *added]))
    return tuple(added)


def _refresh(conn: sa.Connection, how: str, row: Any | None, events: Sequence[Event]) -> None:
    """Derive the case's row, and its words from all its events."""
    case_id = events[0].case_id
    summary, text = summarise_case(case_id, events)
    values = case_row(summary, text)
    if row is None:
        number = conn.scalar(sa.insert(t.cases).values(values).returning(t.cases.c.number))
        search.put(conn, how, number, text, fresh=True)
    else:
        number = row.number
        conn.execute(sa.update(t.cases).where(t.cases.c.number == number).values(values))
        if row.search != text:
            search.put(conn, how, number, text, fresh=False)


def add_new_cases(
    conn: sa.Connection, cases: Iterable[tuple[str, Sequence[Event]]], how: str = search.LIKE
) -> None:
    """Write many cases that the store does not have, in large strokes.

    Args:
        conn: inside a transaction that may write.
        cases: (case id, its events in order, stamped; numbered ones keep their numbers).
        how: as `search.prepare` returned; "like" leaves the index to be made later.
    """
    number = conn.scalar(sa.select(sa.func.coalesce(sa.func.max(t.cases.c.number), 0))) or 0
    rows: dict[str, list[dict[str, Any]]] = {"events": [], "cases": [], "words": []}
    for case_id, events in cases:
        number += 1
        if not all(event.sequence for event in events):
            events = numbered(events, 0)
        summary, text = summarise_case(case_id, events)
        rows["events"].extend(map(event_row, events))
        rows["cases"].append({"number": number, **case_row(summary, text)})
        rows["words"].append({"rowid": number, "words": text})
        if len(rows["cases"]) == _BATCH:
            _flush(conn, rows, how)
    _flush(conn, rows, how)
    if conn.dialect.name == "postgresql":
        conn.exec_driver_sql(
            "SELECT setval(pg_get_serial_sequence('cases', 'number'), (SELECT max(number) FROM cases))"
            " WHERE EXISTS (SELECT 1 FROM cases)"
        )
        # without statistics the planner walks all cases for a rare word: 430 ms, not 2 ms
        conn.exec_driver_sql("ANALYZE cases")


def _flush(conn: sa.Connection, rows: dict[str, list[dict[str, Any]]], how: str) -> None:
    for name, table in (("events", t.events), ("cases", t.cases)):
        if rows[name]:
            conn.execute(sa.insert(table), rows[name])
    if how == search.FULL_TEXT and rows["words"]:
        conn.execute(sa.insert(t.case_search), rows["words"])
    for waiting in rows.values():
        waiting.clear()
