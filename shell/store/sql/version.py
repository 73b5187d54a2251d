"""The version of a store's tables, which are made where there are none."""

from __future__ import annotations

import sqlalchemy as sa

from crankpath.shell.store.errors import NewerStore
from crankpath.shell.store.sql import tables as t

VERSION = 3  # written into every store; raise it when the tables change
_LOCK = 7_240_117_305_611  # any number: the advisory lock for making tables in PostgreSQL


def version_of(conn: sa.Connection) -> int:
    """Return the version of the store a connection leads to; 0 for an empty database.

    Raises:
        NewerStore: a newer program has written it.
    """
    if not sa.inspect(conn).has_table("meta"):
        return 0
    version = int(t.noted(conn, "version") or 0)
    if version > VERSION:
        raise NewerStore(
            f"The store was written by a newer version of crankpath (store version {version}, "
            f"this one reads up to {VERSION}). Install the newer crankpath, or name another store."
        )
    return version


def make_tables(conn: sa.Connection) -> None:
    """Make the tables of this version, inside a transaction that may write."""
    if conn.dialect.name == "postgresql":
        conn.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
    if version_of(conn) == 0:  # under the lock: another shell may just have made them
        t.metadata.create_all(conn)
        t.note(conn, "version", str(VERSION))
