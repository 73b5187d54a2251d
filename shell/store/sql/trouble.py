"""What a database's error means, as a sentence a person can act on."""

from __future__ import annotations

import sqlite3

import sqlalchemy as sa

from crankpath.shell.store.errors import START_AGAIN, StoreDamaged, StoreUnavailable

_FULL = "The disk with the store {place} is full. Make room, then go on."
_READ_ONLY = "The store {place} may not be written. Give yourself the right to write the file and its folder."
_CANNOT_OPEN = (
    "The store {place} cannot be opened: its folder is missing or not yours. "
    "Name another with CRANKPATH_STORE."
)
_BUSY = "The store {place} is held by another program. Close that program, or wait and try again."
_DISK = "The disk with the store {place} cannot be read or written. Check the disk before going on."
_DAMAGED = f"The store {{place}} is damaged. {START_AGAIN}"
_AWAY = "The shared store {place} cannot be reached. Check the network and the address."
_REFUSED = "The shared store {place} refuses this user. Ask its keeper for the right to read and write."
_OTHER = "The store {place} cannot do this now ({detail})."

_SQLITE = {
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_READONLY: _READ_ONLY,
    sqlite3.SQLITE_PERM: _READ_ONLY,
    sqlite3.SQLITE_AUTH: _READ_ONLY,
    sqlite3.SQLITE_CANTOPEN: _CANNOT_OPEN,
    sqlite3.SQLITE_BUSY: _BUSY,
    sqlite3.SQLITE_LOCKED: _BUSY,
    sqlite3.SQLITE_IOERR: _DISK,
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_NOTADB: _DAMAGED,
}

# Classes and codes of the SQL standard and PostgreSQL's manual, appendix "Error Codes".
_POSTGRES = {
    "53100": _FULL,
    "25006": _READ_ONLY,
    "42501": _REFUSED,
    "28000": _REFUSED,
    "28P01": _REFUSED,
    "55P03": _BUSY,
    "40P01": _BUSY,
    "40001": _BUSY,
}


def sentence(error: BaseException, place: str) -> StoreUnavailable:
    """Return the error to raise for an error of a database, its driver or the file system."""
    origin = getattr(error, "orig", None) or error
    form = _form(origin)
    detail = " ".join(str(origin).split())[:160]
    made = StoreDamaged if form is _DAMAGED else StoreUnavailable
    return made(form.format(place=place, detail=detail))


def _form(origin: BaseException) -> str:
    if isinstance(origin, sqlite3.OperationalError) and "decode to UTF-8" in str(origin):
        return _DAMAGED
    code = getattr(origin, "sqlite_errorcode", None)
    if code is not None:
        return _SQLITE.get(code & 0xFF, _OTHER)  # the low byte is the primary code
    state = getattr(origin, "sqlstate", None)
    if state in _POSTGRES:
        return _POSTGRES[state]
    if type(origin).__module__.startswith("psycopg"):
        return _AWAY if type(origin).__name__ in ("OperationalError", "ConnectionTimeout") else _OTHER
    if isinstance(origin, PermissionError):
        return _READ_ONLY
    if isinstance(origin, TimeoutError):
        return _BUSY
    if isinstance(origin, FileNotFoundError | NotADirectoryError | FileExistsError | IsADirectoryError):
        return _CANNOT_OPEN
    return _form_of_system(origin)


def _form_of_system(origin: BaseException) -> str:
    """Return the sentence for an error number of the system."""
    import errno

    number = getattr(origin, "errno", None)
    if number in (errno.ENOSPC, errno.EDQUOT):
        return _FULL
    if number == errno.EROFS:
        return _READ_ONLY
    return _DISK if number == errno.EIO else _OTHER


def worth_a_retry(error: BaseException) -> bool:
    """Tell whether the same transaction may go through at once when tried again."""
    if isinstance(error, sa.exc.IntegrityError):
        return True  # another writer took the number or opened the same case
    if isinstance(error, sa.exc.DBAPIError) and error.connection_invalidated:
        return True
    state = getattr(getattr(error, "orig", None), "sqlstate", None)
    return state in ("40P01", "40001")
