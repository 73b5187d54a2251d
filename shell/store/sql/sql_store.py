"""The store on a database: SQLite or PostgreSQL, the same queries for both."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

import sqlalchemy as sa

from crankpath.shell.store.errors import BadEvent, StoreDamaged, StoreError, StoreUnavailable, UnknownCase
from crankpath.shell.store.event_data import case_from_plain, case_to_plain, draft, new_id
from crankpath.shell.store.files.file_watch import FileWatch
from crankpath.shell.store.files.journal import Journal
from crankpath.shell.store.order import conflicts, ordered, stamped
from crankpath.shell.store.records import CaseSummary, Event, MergeReport, Write
from crankpath.shell.store.sql import tables as t
from crankpath.shell.store.sql.engines import writing
from crankpath.shell.store.sql.journaled import CaughtUp, bring_in, catch_up, noted_length, recorded
from crankpath.shell.store.sql.rows import case_of_row, load_events
from crankpath.shell.store.sql.search import narrowed
from crankpath.shell.store.sql.trouble import sentence, worth_a_retry
from crankpath.shell.store.sql.writing import merge_events, write_events
from crankpath.shell.store.summary import column_text

Result = TypeVar("Result")
_TRIES = 4


class Store:
    """Cases as ordered events, on an engine whose tables are up to date; several shells may have it open.

    Attributes:
        place: the file or the address (without password), for messages.
        origin: id of this writer, found in the events it writes.
        said: sentences on what was done at opening (recovered, taken in), to be shown once.

    Every method may raise `StoreUnavailable`.
    """

    def __init__(
        self, engine: sa.Engine, how: str, place: str, origin: str,
        journals: tuple[Journal | None, Sequence[Journal]], watch: FileWatch,
    ) -> None:  # fmt: skip
        """Take an open engine.

        Args:
            engine: the database.
            how: how it is searched, as `search.prepare` returned.
            place: its place, for messages.
            origin: id of this writer.
            journals: the one beside the store's file, if it is a file; those in which entries wait.
            watch: notices that the file was replaced.
        """
        self.place = place
        self.origin = origin
        self.said: tuple[str, ...] = ()
        self._engine = engine
        self._writing_engine = writing(engine)
        self._how = how
        self._journal, self._spares = journals
        self._watch = watch
        self._waiting: dict[str, Event] = {}  # entries of ours that the store does not have yet
        self._latest: dict[str, str] = {}  # case id -> latest stamp seen

    def create_case(
        self, name: str, *, at: str, by: str = "technician", machine: str = "", entries: Iterable[Write] = ()
    ) -> Event:
        """Open a case, with its first entries, and return its first event, which carries the case's id."""
        if not column_text(name):
            raise BadEvent("A case needs a name: the machine and the customer, say.")
        body = {"name": name, **({"machine": machine} if machine else {})}
        return self.extend(new_id(), [Write("opened", body, by), *entries], at=at)[0]

    def append(
        self, case_id: str, kind: str, body: Mapping[str, Any], *, at: str, by: str = "technician"
    ) -> Event:
        """Add one entry and return it; see `extend`."""
        return self.extend(case_id, [Write(kind, body, by)], at=at)[0]

    def extend(self, case_id: str, entries: Iterable[Write], *, at: str) -> tuple[Event, ...]:
        """Add entries, all of them or none, and return them numbered; they are on disk before this returns.

        Args:
            case_id: the case.
            entries: what is added, in this order whatever their times.
            at: the time of those that have none of their own.

        Raises:
            BadEvent: an entry has no proper shape; nothing was written.
            UnknownCase: no such case.
            StoreUnavailable: the store cannot take them; `events` are the entries as they will be
                known, `kept_in` the journal that has them now. They go into the store
                by themselves with the next entry that the store takes, or at the next opening.
        """
        drafts = [draft(case_id, e.kind, e.body, e.at or at, e.by, self.origin) for e in entries]
        if not drafts:
            return ()
        try:
            events = self._write(lambda conn: self._put(conn, drafts))
        except StoreUnavailable as trouble:
            raise self._let_wait(drafts, trouble) from trouble
        self._latest[case_id] = events[-1].stamp
        if self._waiting:
            self._waiting.clear()
            self.take_in_spares()
        return events

    def _put(self, conn: sa.Connection, drafts: Sequence[Event]) -> tuple[tuple[Event, ...], list[Event]]:
        """Write this writer's waiting entries and more, all of one case."""
        waited = bring_in(conn, self._how, self._waiting.values())
        events = write_events(conn, self._how, drafts)
        return events, [*waited, *events]

    def _let_wait(self, drafts: Sequence[Event], trouble: StoreUnavailable) -> StoreUnavailable:
        """Put entries of one case into the first journal that takes them; return the error that says so."""
        case_id = drafts[0].case_id
        events = stamped(drafts, self._latest.get(case_id, ""))
        file = next(filter(None, (_added(journal, events) for journal in self._journals())), None)
        self._waiting |= {event.id: event for event in events}
        self._latest[case_id] = events[-1].stamp
        kept = "only in this program's memory: leave it open" if file is None else f"kept in {file}"
        what = "the entry is" if len(events) == 1 else f"{len(events)} entries are"
        return type(trouble)(f"{trouble} Until then {what} {kept}.", events, file)

    def _journals(self) -> tuple[Journal, ...]:
        return (self._journal, *self._spares) if self._journal is not None else tuple(self._spares)

    def catch_up(self) -> CaughtUp:
        """Take in what the journal has and the store lacks."""
        journal = self._journal
        if journal is None or self._read(noted_length) == journal.size():
            return CaughtUp()

        def work(conn: sa.Connection) -> CaughtUp:
            with journal.opened() as pages:
                return catch_up(conn, self._how, pages)

        return self._run(self._writing_engine, work)

    def take_in_spares(self) -> tuple[int, list[str]]:
        """Move what waits elsewhere into the store; return how many entries, and sentences on the rest."""
        taken, said = 0, []
        for spare in filter(Journal.size, self._spares):
            try:
                with spare.opened() as pages:
                    lines = pages.read()
                    taken += self._take_in(lines.events.values())
                    pages.keep_only(lines.unread)
            except (OSError, StoreError) as trouble:
                said.append(f"Entries still wait in {spare.path}: {trouble}")
                continue
            if lines.unread:
                said.append(f"{len(lines.unread)} lines of {spare.path} cannot be read; they stay there.")
        return taken, said

    def _take_in(self, events: Collection[Event]) -> int:
        """Write the entries that the store lacks; return how many those were."""

        def work(conn: sa.Connection) -> tuple[int, list[Event]]:
            added = bring_in(conn, self._how, events)
            return len(added), added

        return self._write(work)

    def events(self, case_id: str, *, after: int = 0) -> tuple[Event, ...]:
        """Return the events that arrived after number `after`, in the case's order.

        A merge may bring events that belong before known ones: hand known and new ones
        to `ordered`. Entries of this writer that still wait for the store are always
        among them, with sequence 0.

        Raises:
            UnknownCase: no such case.
        """
        mine = [event for event in self._waiting.values() if event.case_id == case_id]
        try:
            found = self._read(lambda conn: self._load(conn, case_id, after, known=bool(mine)))
        except StoreUnavailable:
            if not mine:
                raise
            found = ()
        if found:
            self._latest[case_id] = max(found[-1].stamp, self._latest.get(case_id, ""))
        return ordered([*found, *mine])

    def _load(self, conn: sa.Connection, case_id: str, after: int, known: bool) -> tuple[Event, ...]:
        found = load_events(conn, case_id, after)
        if not found and not known:
            self._row(conn, case_id)
        return found

    def case(self, case_id: str) -> CaseSummary:
        """Return the summary of one case; raises UnknownCase."""
        return case_of_row(self._read(lambda conn: self._row(conn, case_id)))

    def _row(self, conn: sa.Connection, case_id: str) -> Any:
        row = conn.execute(sa.select(t.cases).where(t.cases.c.id == case_id)).first()
        if row is None:
            raise UnknownCase(f"The store has no case {column_text(case_id)}.")
        return row

    def cases(
        self, *, open_only: bool = True, search: str = "", machine: str = "", limit: int = 50, offset: int = 0
    ) -> tuple[CaseSummary, ...]:
        """Return cases, the last worked on first; with `search`, the last opened first.

        Every word of `search` must begin a word of the case's name, machine, complaint,
        cause or notes; capitals and accents do not matter. With `machine` the case's machine must
        have that very name, capitals apart.
        """
        query = narrowed(sa.select(t.cases).limit(limit).offset(offset), self._how, search)
        if open_only:
            query = query.where(t.cases.c.is_open == 1)
        if machine:
            query = query.where(sa.func.lower(t.cases.c.machine) == column_text(machine).lower())
        rows = self._read(lambda conn: conn.execute(query).all())
        return tuple(map(case_of_row, rows))

    def merge(self, case_id: str, events: Iterable[Event], *, whole: bool = False) -> MergeReport:
        """Take in the events the store lacks; doing so twice changes nothing.

        With `whole` the events are a whole copy of the case, and conflicts are reported.
        """
        theirs = ordered(replace(event, sequence=0) for event in events if event.case_id == case_id)

        def work(conn: sa.Connection) -> tuple[MergeReport, tuple[Event, ...]]:
            ours = load_events(conn, case_id) if whole else ()
            added = merge_events(conn, self._how, case_id, theirs)
            return MergeReport(case_id, added, len(theirs) - len(added), conflicts(ours, theirs)), added

        return self._write(work)

    def export_case(self, case_id: str) -> dict[str, Any]:
        """Return a case with all its events as one mapping for JSON or YAML."""
        events = self.events(case_id)
        with suppress(UnknownCase):  # all its events may still be waiting
            return case_to_plain(case_id, self.case(case_id).name, events)
        return case_to_plain(case_id, "", events)

    def import_case(self, data: object) -> MergeReport:
        """Take in a mapping made by `export_case`: a new case, or merged into the same one."""
        case_id, events = case_from_plain(data)
        return self.merge(case_id, events, whole=True)

    def close(self) -> None:
        """Let go of the store; entries that waited are tried once more before."""
        if self._waiting:
            with suppress(StoreError):
                self._take_in(self._waiting.values())
                self.take_in_spares()
        self._engine.dispose()

    def _read(self, work: Callable[[sa.Connection], Result]) -> Result:
        return self._run(self._engine, work)

    def _write(self, work: Callable[[sa.Connection], tuple[Result, Sequence[Event]]]) -> Result:
        """Run a transaction that returns its result and what it wrote, which goes into the journal too."""
        journal = self._journal
        if journal is None:
            return self._run(self._writing_engine, work)[0]
        return self._run(
            self._writing_engine, lambda conn: recorded(conn, self._how, journal, lambda: work(conn))
        )

    def _run(self, engine: sa.Engine, work: Callable[[sa.Connection], Result]) -> Result:
        """Run a transaction, again if another writer was in the way.

        Raises:
            StoreUnavailable: the database's or the system's error, as a sentence.
        """
        for tries_left in reversed(range(_TRIES)):
            try:
                if self._watch.replaced():
                    self._engine.dispose()  # another shell recovered the store: follow it
                with engine.begin() as conn:
                    return work(conn)
            except (sa.exc.SQLAlchemyError, OSError) as error:
                if tries_left and worth_a_retry(error):
                    continue
                raise self._told(sentence(error, self.place)) from error
            except StoreDamaged as error:
                raise self._told(error) from error
        raise AssertionError("the last try returns or raises")

    def _told(self, trouble: StoreUnavailable) -> StoreUnavailable:
        """Have a damaged file looked at closely when it is opened next."""
        if isinstance(trouble, StoreDamaged):
            self._watch.suspect()
        return trouble


def _added(journal: Journal, events: Iterable[Event]) -> Path | None:
    """Add entries that must wait; return the file, or None if it takes nothing."""
    with suppress(OSError), journal.opened() as pages:
        pages.add(events)
        return journal.path
    return None
