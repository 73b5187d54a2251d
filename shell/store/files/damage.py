"""Whether an SQLite file is whole, and whether it is a store at all."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path

from crankpath.shell.store.errors import ForeignFile
from crankpath.shell.store.files.file_watch import fingerprint_of
from crankpath.shell.store.records import Event
from crankpath.shell.store.sql.engines import APPLICATION_ID
from crankpath.shell.store.sql.rows import event_of_row

_MAGIC = b"SQLite format 3\x00"
_PAGES_CHECKED = 16 * 2**20  # bytes; a larger file is checked whole only when asked or suspected
_NAMES = (".sqlite", ".sqlite3", ".db")
_DAMAGE = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
_NOTED = "SELECT value FROM meta WHERE key = 'journal'"
_BEGINNING = 2**20  # bytes; what the store notes of itself stands in the first pages
_ENTRIES = 'SELECT id, case_id, sequence, kind, body, at, "by", origin, stamp, digest FROM events NOT INDEXED'


def damage_of(path: Path, *, thorough: bool = False) -> str | None:
    """Return what is wrong with a store's file, in a few words, or None if it is whole.

    A file that is missing or empty is whole: it is a new store.

    Raises:
        ForeignFile: the file is something else, to be left alone.
        sqlite3.Error, OSError: it cannot be looked at now.
    """
    if not path.exists() or path.stat().st_size == 0:
        return None
    with path.open("rb") as stream:
        start = stream.read(4096)
    if not start.startswith(_MAGIC):
        if path.suffix not in _NAMES and b"CREATE TABLE events" not in start:
            raise ForeignFile(f"{path} is no store: it is a file of something else. Name another file.")
        return "its beginning is overwritten"
    if _too_short(path, start):
        return "its end is missing"
    close = thorough or fingerprint_of(path).exists()
    return _checked(path, pages=close or path.stat().st_size <= _PAGES_CHECKED, entries=close)


def _too_short(path: Path, start: bytes) -> bool:
    """Compare the length with what the header says; a log may hold the missing pages."""
    log = path.with_name(path.name + "-wal")
    if log.exists() and log.stat().st_size:
        return False
    stated = int.from_bytes(start[16:18], "big")
    page = 65536 if stated == 1 else stated
    counted = start[24:28] == start[92:96]  # only then is the number of pages valid
    return counted and path.stat().st_size < page * int.from_bytes(start[28:32], "big")


def _checked(path: Path, *, pages: bool, entries: bool) -> str | None:
    """Have SQLite look at the file, at all `pages` or some, and at the digest of all `entries`.

    Without `entries` an altered one is found when its case is read.
    """
    try:
        with closing(sqlite3.connect(path, timeout=5)) as connection:
            listed = connection.execute("SELECT name, type, tbl_name, sql FROM sqlite_master")
            names = {row[0] for row in listed}
            if names and not {"meta", "events"} <= names:
                if connection.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID:
                    return "its list of tables is overwritten"
                raise ForeignFile(f"{path} is a database of another program. Name another file.")
            found = connection.execute("PRAGMA integrity_check(1)" if pages else "PRAGMA quick_check('meta')")
            if found.fetchone()[0] != "ok":
                return "its pages do not fit together"
            if names:
                connection.execute("SELECT key, value FROM meta").fetchall()
            if entries and names:
                for _ in connection.execute("SELECT * FROM cases"):
                    pass
                if any(event is None for event in _entries(connection, "")):
                    return "an entry is not what was written"
    except sqlite3.DatabaseError as error:
        code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_CORRUPT)
        if code & 0xFF not in _DAMAGE:
            raise
        return "its pages do not fit together"
    except UnicodeDecodeError:
        return "its list of tables is overwritten"
    return None


def _entries(connection: sqlite3.Connection, order: str) -> Iterator[Event | None]:
    connection.text_factory = lambda raw: raw.decode("utf-8", "replace")
    return map(event_of_row, connection.execute(f"{_ENTRIES} {order}"))


def noted_in(path: Path) -> int | None:
    """Return the length of its journal that a damaged file notes, or None if that cannot be read."""
    for opened in (sqlite3.connect, _beginning):
        with suppress(sqlite3.Error, ValueError, TypeError), closing(opened(path)) as connection:
            return int(connection.execute(_NOTED).fetchone()[0])
    return None


def _beginning(path: Path) -> sqlite3.Connection:
    """The beginning of a file that was cut as a database of its own; SQLite opens none that is cut."""
    with path.open("rb") as stream:
        data = bytearray(stream.read(_BEGINNING))
    data[18:20] = b"\1\1"  # without a log
    data[92:96] = bytes(4)  # the number of pages is not valid, so it is taken from the length
    connection = sqlite3.connect(":memory:")
    connection.deserialize(bytes(data))
    return connection


def readable_entries(path: Path) -> Iterator[Event]:
    """Yield the entries that SQLite can still read of a damaged file, from both ends; some come twice."""
    for order in ("ORDER BY rowid", "ORDER BY rowid DESC"):
        with suppress(sqlite3.Error, UnicodeDecodeError), closing(sqlite3.connect(path)) as connection:
            yield from (event for event in _entries(connection, order) if event is not None)
