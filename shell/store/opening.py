"""Opening a store: looked at, recovered if need be, waiting entries taken in."""

from __future__ import annotations

import os
import sqlite3
import time
from contextlib import closing, suppress
from pathlib import Path

import sqlalchemy as sa

from crankpath.shell.files import is_there
from crankpath.shell.store.errors import ForeignFile, StoreError
from crankpath.shell.store.event_data import new_id
from crankpath.shell.store.files.damage import damage_of
from crankpath.shell.store.files.file_watch import FileWatch, fingerprint_of
from crankpath.shell.store.files.places import StorePlace, journal_of, spare_journals
from crankpath.shell.store.recovery import recover
from crankpath.shell.store.sql import search
from crankpath.shell.store.sql.engines import APPLICATION_ID, postgres_engine, sqlite_engine, writing
from crankpath.shell.store.sql.journaled import CaughtUp
from crankpath.shell.store.sql.sql_store import Store
from crankpath.shell.store.sql.trouble import sentence
from crankpath.shell.store.sql.version import VERSION, make_tables, version_of


def open_place(place: StorePlace, *, patience: float, thorough: bool) -> Store:
    """Open the store at a place; see `crankpath.shell.store.open_store`."""
    shown, path = _shown(place), place.path
    is_new = path is not None and not is_there(path)
    try:
        said = _recovered(path, patience, thorough) if path is not None else ""
        engine = postgres_engine(place.url or "", patience) if path is None else sqlite_engine(path, patience)
        how = _up_to_date(engine, path)
        watch = FileWatch(path)
    except (sa.exc.SQLAlchemyError, sqlite3.Error, OSError) as error:
        raise sentence(error, shown) from error
    journals = (None if path is None else journal_of(path), spare_journals(shown))
    store = Store(engine, how, shown, new_id(), journals, watch)
    store.said = tuple(filter(None, [said, *_taken_in(store, path, is_new)]))
    return store


def _taken_in(store: Store, path: Path | None, is_new: bool) -> list[str]:
    """Take in whatever waits for a store that is open now; return sentences about it."""
    said: list[str] = []
    caught = CaughtUp()
    try:
        caught = store.catch_up()
    except StoreError as trouble:
        said.append(str(trouble))
    waited = 0 if is_new else len(caught.taken)
    if is_new and caught.taken:
        said.append(f"{path} was gone; it is made anew from its journal, with {len(caught.taken)} entries.")
    if caught.lost:
        said.append(f"{caught.lost} lines of the journal of {path} cannot be read; they stay there.")
    if caught.cut_short:
        said.append(f"The journal of {path} was gone or had lost its end; the store has given it back.")
    more, told = store.take_in_spares()
    if waited + more:
        said.insert(0, f"Entries that waited for the store are in it now: {waited + more}.")
    return said + told


def _shown(place: StorePlace) -> str:
    """Return a place as it may be shown and hashed: absolute, and without a password."""
    if place.path is not None:
        return str(place.path.absolute())
    with suppress(sa.exc.ArgumentError, ValueError):
        return sa.make_url(place.url or "").set(password=None).render_as_string().replace("+psycopg", "", 1)
    return "named"


def _recovered(path: Path, patience: float, thorough: bool) -> str:
    """Have a whole file in write-ahead mode at a path; return what had to be done for it, or ""."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if not os.access(path if path.exists() else path.parent, os.W_OK):
        raise PermissionError(path)
    damaged = damage_of(path, thorough=thorough) is not None
    said = recover(path, patience, thorough) if damaged else ""
    fingerprint_of(path).unlink(missing_ok=True)
    _write_ahead(path, patience)
    return said


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


def _up_to_date(engine: sa.Engine, path: Path | None) -> str:
    """Make the tables of a new store; return how to search.

    Nothing is written to a store that is up to date.
    """
    with engine.begin() as conn:
        version = version_of(conn)
        if version == VERSION and not search.needs_preparing(conn):
            return search.prepare(conn)
        if version == 0 and path is not None and sa.inspect(conn).get_table_names():
            raise ForeignFile(f"{path} is a database of another program. Name another file.")
    with writing(engine).begin() as conn:
        make_tables(conn)
        if path is not None and version == 0:
            conn.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        return search.prepare(conn)
