"""A damaged store: set aside and made anew from its journal."""

from __future__ import annotations

import shutil
from contextlib import suppress
from pathlib import Path

from crankpath.shell.store.files.damage import damage_of, noted_in, readable_entries
from crankpath.shell.store.files.file_watch import fingerprint_of
from crankpath.shell.store.files.journal import OpenJournal
from crankpath.shell.store.files.places import journal_of
from crankpath.shell.store.sql import search
from crankpath.shell.store.sql.engines import APPLICATION_ID, sqlite_engine, writing
from crankpath.shell.store.sql.journaled import CaughtUp, catch_up, gaps
from crankpath.shell.store.sql.version import make_tables


def recover(path: Path, patience: float, thorough: bool) -> str:
    """Set a damaged file aside and make the store anew; return what was done, or "" if another did it.

    The new file takes the place only when it is complete. A shell that opens at the same
    time finds the damaged file and waits here, or finds the new one.

    Raises:
        OSError, sqlite3.Error: the folder cannot be written.
    """
    with journal_of(path).opened() as pages:
        reason = damage_of(path, thorough=thorough)
        if reason is None:
            return ""  # another shell has just done it
        fresh = path.with_name(path.name + ".recovering")
        noted, had = noted_in(path), pages.size
        caught, missing = _fill(fresh, path, pages, patience)
        aside = _put_in_place(fresh, path)
    cases = len({event.case_id for event in caught.taken})
    said = _missing(caught, missing)
    if noted is None and had:
        said += " Whether the journal itself was whole cannot be told."
    elif not had or (noted or 0) > had:
        said += " The journal was gone or had lost its end: what else the damaged file held is missing."
    return (
        f"The store was damaged ({reason}). The damaged file is kept as {aside}; the store is made anew "
        f"from its journal (entries: {len(caught.taken)}, cases: {cases}). {said}"
    )


def _fill(
    fresh: Path, damaged: Path, pages: OpenJournal, patience: float
) -> tuple[CaughtUp, list[tuple[str, int]]]:
    """Make a store from the journal and what can be read of the damaged file."""
    for end in ("", "-wal", "-shm", "-journal"):
        Path(f"{fresh}{end}").unlink(missing_ok=True)
    engine = sqlite_engine(fresh, patience)
    with writing(engine).begin() as conn:
        make_tables(conn)
        conn.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        caught = catch_up(conn, search.prepare(conn), pages, readable_entries(damaged))
        missing = gaps(conn)
    engine.dispose()
    return caught, missing


def _put_in_place(fresh: Path, path: Path) -> Path:
    """Keep a damaged store and its log under the first free name and put a new one in its place.

    At every moment there is a file at `path`, the damaged or the new one, and a log is
    never beside a file it does not belong to.

    Returns:
        The name under which the damaged file is kept.
    """
    number = 1
    while (aside := path.with_name(f"{path.name}.damaged-{number}")).exists():
        number += 1
    try:
        aside.hardlink_to(path)
    except OSError:  # a file system without links
        shutil.copy2(path, aside)
    for end in ("-wal", "-shm"):
        with suppress(FileNotFoundError):
            Path(f"{path}{end}").rename(f"{aside}{end}")
    fresh.chmod(path.stat().st_mode & 0o777)
    fresh.replace(path)
    fingerprint_of(path).unlink(missing_ok=True)
    return aside


def _missing(caught: CaughtUp, missing: list[tuple[str, int]]) -> str:
    """Say what could not be brought back."""
    said = [f"{number} of the case {name}" for name, number in missing]
    lost = caught.lost - sum(number for _, number in missing)
    if lost > 0:
        said.append(f"{lost} more that cannot be read")
    return f"Entries missing: {', '.join(said)}." if said else "No entry of the journal is missing."
