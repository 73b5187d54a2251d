"""Opening a store: looked at, recovered or migrated if need be, waiting entries taken in."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Sequence
from contextlib import closing, suppress
from pathlib import Path

import sqlalchemy as sa

from crankpath.shell.store.errors import ForeignFile
from crankpath.shell.store.files.damage import damage_of
from crankpath.shell.store.files.file_lock import held
from crankpath.shell.store.files.file_watch import FileWatch, mark_of
from crankpath.shell.store.files.places import Place, waiting_files
from crankpath.shell.store.files.recovery import earlier_asides, put_in_place, readable_cases
from crankpath.shell.store.plain import new_id
from crankpath.shell.store.records import Event
from crankpath.shell.store.sql import search
from crankpath.shell.store.sql.engines import APPLICATION_ID, postgres_engine, sqlite_engine, writing
from crankpath.shell.store.sql.migrations import VERSION, migrate, version_of
from crankpath.shell.store.sql.sql_store import SqlStore
from crankpath.shell.store.sql.trouble import sentence
from crankpath.shell.store.sql.writing import add_new_cases


def open_place(place: Place, *, patience: float, thorough: bool) -> SqlStore:
    """Open the store at a place; see `crankpath.shell.store.open_store`."""
    shown = _shown(place)
    said: list[str] = []
    try:
        if place.path is not None:
            engine = _sqlite(place.path, patience, thorough, said)
        else:
            engine = postgres_engine(place.url or "", patience)
        how = _up_to_date(engine, place.path, said)
        watch = FileWatch(place.path)
    except (sa.exc.SQLAlchemyError, sqlite3.Error, OSError) as error:
        raise sentence(error, shown) from error
    store = SqlStore(engine, how, shown, new_id(), waiting_files(shown, place.path), watch)
    store.said = (*said, *store.take_in_waiting())
    return store


def _shown(place: Place) -> str:
    """Return a place as it may be shown and hashed: absolute, and without a password."""
    if place.path is not None:
        return str(place.path.absolute())
    with suppress(sa.exc.ArgumentError, ValueError):
        return sa.make_url(place.url or "").set(password=None).render_as_string().replace("+psycopg", "", 1)
    return "named"


def _sqlite(path: Path, patience: float, thorough: bool, said: list[str]) -> sa.Engine:
    """Return an engine on a whole file in write-ahead mode, recovering it first if damaged."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if not os.access(path if path.exists() else path.parent, os.W_OK):
        raise PermissionError(path)
    if damage_of(path, thorough=thorough) is not None:
        _recover(path, patience, thorough, said)
    mark_of(path).unlink(missing_ok=True)
    _write_ahead(path, patience)
    return sqlite_engine(path, patience)


def _write_ahead(path: Path, patience: float) -> None:
    """Have the file keep a write-ahead log; the change of mode does not wait by itself."""
    give_up = time.monotonic() + patience
    while True:
        try:
            with closing(sqlite3.connect(path, timeout=patience)) as connection:
                if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
                    connection.execute("PRAGMA journal_mode = WAL")
                return
        except sqlite3.OperationalError as error:
            code = getattr(error, "sqlite_errorcode", 0) & 0xFF
            if code not in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) or time.monotonic() > give_up:
                raise
            time.sleep(0.02)


def _recover(path: Path, patience: float, thorough: bool, said: list[str]) -> None:
    """Set a damaged file aside and begin a new one with what can be read.

    The new file takes the place only when it is complete. A shell that opens at the same
    time finds the damaged file and waits here, or finds the new one.
    """
    lock = os.open(f"{path}.lock", os.O_RDWR | os.O_CREAT, 0o600)
    try:
        with held(lock):
            reason = damage_of(path, thorough=thorough)
            if reason is None:
                return  # another shell has just done it
            fresh = path.with_name(path.name + ".recovering")
            cut_off = earlier_asides(path) if fresh.exists() else []
            cases = readable_cases([path, *cut_off])
            _fill(fresh, cases, patience)
            aside = put_in_place(fresh, path)
    finally:
        os.close(lock)
    entries = sum(len(events) for _, events in cases)
    said.append(
        f"The store was damaged ({reason}). The damaged file is kept as {aside}; "
        f"{entries} entries of {len(cases)} cases could be read and are in the new store."
    )


def _fill(fresh: Path, cases: Sequence[tuple[str, Sequence[Event]]], patience: float) -> None:
    """Make a store of the present version with these cases."""
    for end in ("", "-wal", "-shm", "-journal"):
        Path(f"{fresh}{end}").unlink(missing_ok=True)
    engine = sqlite_engine(fresh, patience)
    with writing(engine).begin() as conn:
        migrate(conn)
        conn.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        add_new_cases(conn, cases, search.prepare(conn))
    engine.dispose()


def _up_to_date(engine: sa.Engine, path: Path | None, said: list[str]) -> str:
    """Bring the tables to the present version; return how to search.

    Nothing is written to a store that is up to date.
    """
    with engine.begin() as conn:
        version = version_of(conn)
        if version == VERSION and not search.needs_preparing(conn):
            return search.prepare(conn)
        if version == 0 and path is not None and sa.inspect(conn).get_table_names():
            raise ForeignFile(f"{path} is a database of another program. Name another file.")
    if 0 < version < VERSION and path is not None:
        _copy(path, version)
    with writing(engine).begin() as conn:
        before, now = migrate(conn)
        if path is not None and before == 0:
            conn.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        how = search.prepare(conn)
    if 0 < before < now:
        kept = f"; the store as it was is kept beside it, ending in .version-{before}" if path else ""
        said.append(f"The store was brought from version {before} to version {now}{kept}.")
    return how


def _copy(path: Path, version: int) -> None:
    """Copy a store as it is before it is migrated, once."""
    kept = path.with_name(f"{path.name}.version-{version}")
    if kept.exists():
        return
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(kept)) as target:
        source.backup(target)
