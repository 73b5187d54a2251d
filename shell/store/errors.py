"""What can go wrong with the store of cases, one class per thing a caller does differently."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from crankpath.engine.errors import CrankpathError

if TYPE_CHECKING:
    from crankpath.shell.store.records import Event


START_AGAIN = "Start again: the store is then made anew from its journal."


class StoreError(CrankpathError):
    """The store refuses what it was asked; the message is a sentence one can act on."""


class UnknownCase(StoreError):
    """The store has no case of that id."""


class BadEvent(StoreError):
    """An event, or a file of events, does not have the shape an event must have."""


class NewerStore(StoreError):
    """A newer version of the program has written the store; this one must leave it alone."""


class ForeignFile(StoreError):
    """The place named as a store is a file of something else; it is left as it is."""


class StoreUnavailable(StoreError):
    """The store cannot be read or written now: disk full, no permission, locked, away.

    Attributes:
        events: the entries that could not go into the store, as they will be known later;
            empty if nothing was being written.
        kept_in: the journal that holds them until the store can take them, or
            None if even that could not be written and they are in memory only.
    """

    def __init__(self, message: str, events: tuple[Event, ...] = (), kept_in: Path | None = None) -> None:
        super().__init__(message)
        self.events = events
        self.kept_in = kept_in


class StoreDamaged(StoreUnavailable):
    """The store's file is damaged; the next opening sets it aside and makes the store anew."""
