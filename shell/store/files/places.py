"""Where the store is, and where its journals are."""

from __future__ import annotations

import os
import re
import tempfile
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from crankpath.shell.files import is_there, named_path
from crankpath.shell.store.errors import StoreError
from crankpath.shell.store.files.journal import Journal

VARIABLE = "CRANKPATH_STORE"
ENDING = ".journal.jsonl"
_URL = re.compile(r"([a-z][a-z0-9+]*)://", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class StorePlace:
    """A store's place: exactly one of path (SQLite) and url (PostgreSQL) is set."""

    path: Path | None
    url: str | None


def find_place(given: str | os.PathLike[str] | None) -> StorePlace:
    """Return the place meant by an argument, the environment or the default, in that order.

    A folder stands for ``cases.sqlite`` in it.

    Raises:
        StoreError: an address of a database this program does not know.
    """
    meant = os.fspath(given) if given else os.environ.get(VARIABLE, "").strip()
    if not meant:
        return StorePlace(default_path(), None)
    url = _URL.match(meant)
    if url is None:
        path = named_path(meant)
        return StorePlace(path / "cases.sqlite" if is_there(path) and path.is_dir() else path, None)
    scheme = url[1].lower()
    rest = meant[url.end() :]
    if scheme.split("+")[0] == "sqlite" and rest.startswith("/") and len(rest) > 1:
        return find_place(rest[1:])  # sqlite:///relative and sqlite:////absolute
    if scheme in ("postgresql", "postgres", "postgresql+psycopg"):
        return StorePlace(None, "postgresql+psycopg://" + rest)
    raise StoreError(
        f"{VARIABLE} or --store names a {scheme} address without a store this program knows. "
        "Give the path of a file, or postgresql://user@host/database."
    )


def default_path() -> Path:
    """Return the store's file in the user's data folder."""
    import platformdirs  # not needed where a place is given

    return Path(platformdirs.user_data_dir("crankpath", appauthor=False)) / "cases.sqlite"


def journal_of(path: Path) -> Journal:
    """Return the journal beside a store's file."""
    return Journal(path.with_name(path.name + ENDING), like=path)


def spare_journals(place: str) -> tuple[Journal, ...]:
    """Return where entries of a store wait that it cannot take, nor the journal beside it, best first.

    In the user's state folder, then in the folder for temporary files.
    """
    import platformdirs

    name = f"crankpath-{sha256(place.encode('utf-8', 'surrogateescape')).hexdigest()[:12]}{ENDING}"
    state = Path(platformdirs.user_state_dir("crankpath", appauthor=False))
    return Journal(state / name), Journal(Path(tempfile.gettempdir()) / name)
