"""The store of cases: every entry on disk before the prompt returns, and nothing deleted.

This module is light. The database library is loaded by `open_store`, not by importing, so `Store` is a
name for annotations alone.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from crankpath.shell.store.errors import (
    BadEvent,
    ForeignFile,
    NewerStore,
    StoreDamaged,
    StoreError,
    StoreUnavailable,
    UnknownCase,
)
from crankpath.shell.store.event_data import case_from_plain, case_to_plain
from crankpath.shell.store.order import conflicts, live_events, ordered
from crankpath.shell.store.records import (
    KINDS,
    SOURCES,
    CaseSummary,
    Event,
    MergeConflict,
    MergeReport,
    Write,
)

if TYPE_CHECKING:
    from crankpath.shell.store.sql.sql_store import Store

__all__ = [
    "KINDS",
    "SOURCES",
    "BadEvent",
    "CaseSummary",
    "MergeConflict",
    "Event",
    "ForeignFile",
    "MergeReport",
    "NewerStore",
    "Store",
    "StoreDamaged",
    "StoreError",
    "StoreUnavailable",
    "UnknownCase",
    "Write",
    "case_from_plain",
    "case_to_plain",
    "conflicts",
    "live_events",
    "open_store",
    "ordered",
]


def open_store(
    place: str | os.PathLike[str] | None = None, *, patience: float = 5.0, thorough: bool = False
) -> Store:
    """Return the store at a place, made or recovered as needed.

    Args:
        place: a file, a folder, or postgresql://user@host/database; by default the
            environment's CRANKPATH_STORE, then the user's data folder.
        patience: seconds to wait for another program that holds the store.
        thorough: check a large file from end to end too.

    Raises:
        StoreError: it cannot be opened, is newer than this program, or is no store; the
            message is one sentence to act on. Nothing was changed.
    """
    from crankpath.shell.store.files.places import find_place

    where = find_place(place)
    from crankpath.shell.store.opening import open_place

    return open_place(where, patience=patience, thorough=thorough)
