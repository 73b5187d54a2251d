"""A store and the journal beside it, kept in step.

A transaction first takes in what the journal has beyond the length that the store notes, then does
its work, adds what it wrote to the journal and notes the new length. The journal is synced before
the transaction is committed, so whatever a crash or a power cut takes from the store comes back
with the next transaction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import sqlalchemy as sa

from crankpath.shell.store.files.journal import Journal, OpenJournal
from crankpath.shell.store.order import ordered
from crankpath.shell.store.records import Event
from crankpath.shell.store.sql import tables as t
from crankpath.shell.store.sql.rows import event_of_row, numbered
from crankpath.shell.store.sql.writing import add_new_cases, lock_case, merge_events

Result = TypeVar("Result")
_LENGTH = "journal"  # bytes of the journal whose entries the store has


@dataclass(frozen=True, slots=True)
class CaughtUp:
    """What a store took from its journal.

    taken: entries that the store lacked. lost: lines of the journal that are no entries, those
    made up for by entries read elsewhere not counted. cut_short: the journal had lost its end,
    or was gone, and was given it back from the store.
    """

    taken: tuple[Event, ...] = ()
    lost: int = 0
    cut_short: bool = False


def noted_length(conn: sa.Connection) -> int:
    """Return the bytes of the journal whose entries the store has."""
    return int(t.noted(conn, _LENGTH) or 0)


def recorded(
    conn: sa.Connection, how: str, journal: Journal, work: Callable[[], tuple[Result, Sequence[Event]]]
) -> Result:
    """Run work that returns a result and what it wrote; that is in the journal before this returns."""
    with journal.opened() as pages:
        catch_up(conn, how, pages)
        result, written = work()
        if written:
            pages.add(written)
            t.note(conn, _LENGTH, str(pages.size))
    return result


def catch_up(conn: sa.Connection, how: str, pages: OpenJournal, rescued: Iterable[Event] = ()) -> CaughtUp:
    """Take in what the journal has and the store lacks, and give the journal what it lost.

    Args:
        conn: inside a transaction that may write.
        how: how the store is searched.
        pages: the journal, held.
        rescued: entries read from elsewhere.
    """
    length = noted_length(conn)
    found = {event.id: event for event in rescued}
    if pages.size == length and not found:
        return CaughtUp()
    cut_short = pages.size < length
    lines = pages.read(0 if cut_short else length)
    taken = bring_in(conn, how, (found | lines.events).values())
    known = _all_events(conn) if cut_short else taken
    pages.add([event for event in known if lines.events.get(event.id) != event])
    t.note(conn, _LENGTH, str(pages.size))
    elsewhere = sum(event.id not in lines.events for event in taken)
    return CaughtUp(tuple(taken), max(0, len(lines.unread) - elsewhere), cut_short)


def bring_in(conn: sa.Connection, how: str, events: Iterable[Event]) -> list[Event]:
    """Write the entries that the store lacks; return them as they are numbered now."""
    cases: dict[str, list[Event]] = {}
    for event in events:
        cases.setdefault(event.case_id, []).append(event)
    new = {case: _settled(mine) for case, mine in cases.items() if lock_case(conn, case) is None}
    add_new_cases(conn, sorted(new.items(), key=lambda case: case[1][0].stamp), how)
    added = [event for mine in new.values() for event in mine]
    for case, mine in cases.items():
        if case not in new:
            added += merge_events(conn, how, case, [replace(event, sequence=0) for event in mine])
    return added


def _settled(events: list[Event]) -> tuple[Event, ...]:
    """Return a case's events in order, with their own numbers where those tell them apart."""
    numbers = {event.sequence for event in events}
    return ordered(events if len(numbers) == len(events) and 0 not in numbers else numbered(events, 0))


def _all_events(conn: sa.Connection) -> list[Event]:
    return [event for row in conn.execute(sa.select(*t.events.c)) if (event := event_of_row(row)) is not None]


def gaps(conn: sa.Connection) -> list[tuple[str, int]]:
    """Return (name of a case, entries missing in it) for each case whose numbers have gaps."""
    missing = sa.func.max(t.events.c.sequence) - sa.func.count()
    query = sa.select(t.cases.c.name, missing).join(t.cases, t.cases.c.id == t.events.c.case_id)
    query = query.group_by(t.cases.c.name, t.cases.c.id).having(missing > 0).order_by(t.cases.c.name)
    return [(row[0], row[1]) for row in conn.execute(query)]
