"""Connections to the two kinds of database, set so that what is committed stays."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import sqlalchemy as sa

from crankpath.shell.store.errors import StoreError

APPLICATION_ID = 0x43_50_54_31  # marks an SQLite file as a store of ours


def sqlite_engine(path: Path, patience: float) -> sa.Engine:
    """Return an engine on a file: write-ahead log, writers wait `patience` seconds.

    A transaction of `writing(engine)` takes the write lock at its start, so it never
    finds out half way that another writer was quicker.
    """
    engine = sa.create_engine(
        sa.URL.create("sqlite", database=str(path)),
        connect_args={"timeout": patience, "check_same_thread": False},
    )

    @sa.event.listens_for(engine, "connect")
    def _set_up(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # the driver begins nothing by itself
        connection.execute("PRAGMA synchronous = NORMAL")  # each entry is synced in the journal
        connection.create_function("lower", 1, str.lower, deterministic=True)  # its own knows ASCII only
        connection.execute("PRAGMA cache_size = -16000")  # KiB; the search index of a large store fits

    @sa.event.listens_for(engine, "begin")
    def _begin(conn: sa.Connection) -> None:
        immediate = conn.get_execution_options().get("crankpath_writing", False)
        conn.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")

    return engine


def postgres_engine(address: str, patience: float) -> sa.Engine:
    """Return an engine on a PostgreSQL address.

    Raises:
        StoreError: the address cannot be read, or the driver is not installed.
    """
    try:
        url = sa.make_url(address)
    except (sa.exc.ArgumentError, ValueError):
        raise StoreError(
            "The address of the shared store cannot be read. Write it like postgresql://user@host/database."
        ) from None
    limits = {"connect_timeout": max(2, int(patience))}
    try:
        engine = sa.create_engine(url, pool_pre_ping=True, connect_args=limits)
    except ModuleNotFoundError:
        raise StoreError(
            "A shared store on PostgreSQL needs the psycopg package: pip install 'crankpath[shared]'."
        ) from None

    @sa.event.listens_for(engine, "connect")
    def _set_up(connection: Any, _record: Any) -> None:
        with connection.cursor() as cursor:
            cursor.execute("SET synchronous_commit TO on")
            cursor.execute(f"SET lock_timeout TO {int(patience * 1000)}")
        connection.commit()

    return engine


def writing(engine: sa.Engine) -> sa.Engine:
    """Return the same engine for transactions that write."""
    return engine.execution_options(crankpath_writing=True)
