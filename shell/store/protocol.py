"""What every store of cases can do, whatever keeps it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Protocol

from crankpath.shell.store.records import CaseSummary, Event, MergeReport, Write


class Store(Protocol):
    """Cases as ordered events; several shells may have the same store open.

    Attributes:
        place: the file or the address (without password), for messages.
        origin: id of this writer, found in the events it writes.
        said: sentences on what was done at opening (recovered, taken in),
            to be shown once.

    Every method may raise `StoreUnavailable`.
    """

    place: str
    origin: str
    said: tuple[str, ...]

    def create_case(
        self, name: str, *, at: str, by: str = ..., machine: str = ..., entries: Iterable[Write] = ...
    ) -> Event:
        """Open a case, with its first entries, and return its first event, which carries the case's id."""

    def append(self, case_id: str, kind: str, body: Mapping[str, Any], *, at: str, by: str = ...) -> Event:
        """Add one entry and return it; see `extend`."""

    def extend(self, case_id: str, entries: Iterable[Write], *, at: str) -> tuple[Event, ...]:
        """Add entries, all of them or none, and return them numbered; they are on disk before this returns.

        Args:
            case_id: the case.
            entries: what is added, in this order whatever their times.
            at: the time of those that have none of their own.

        Raises:
            BadEvent: an entry has no proper shape; nothing was written.
            UnknownCase: no such case.
            StoreUnavailable: the store cannot take them; `events` are the entries as they will be
                known, `kept_in` the journal that has them now. They go into the store
                by themselves with the next entry that the store takes, or at the next opening.
        """

    def events(self, case_id: str, *, after: int = ...) -> tuple[Event, ...]:
        """Return the events that arrived after number `after`, in the case's order.

        A merge may bring events that belong before known ones: hand known and new ones
        to `ordered`. Entries of this writer that still wait for the store are always
        among them, with sequence 0.

        Raises:
            UnknownCase: no such case.
        """

    def case(self, case_id: str) -> CaseSummary:
        """Return the summary of one case; raises UnknownCase."""

    def cases(
        self,
        *,
        open_only: bool = ...,
        search: str = ...,
        machine: str = ...,
        limit: int = ...,
        offset: int = ...,
    ) -> tuple[CaseSummary, ...]:
        """Return cases, the last worked on first; with `search`, the last opened first.

        Every word of `search` must begin a word of the case's name, machine, complaint,
        cause or notes; capitals and accents do not matter. With `machine` the case's machine must
        have that very name, capitals apart.
        """

    def merge(self, case_id: str, events: Iterable[Event], *, whole: bool = ...) -> MergeReport:
        """Take in the events the store lacks; doing so twice changes nothing.

        With `whole` the events are a whole copy of the case, and conflicts are reported.
        """

    def export_case(self, case_id: str) -> dict[str, Any]:
        """Return a case with all its events as one mapping for JSON or YAML."""

    def import_case(self, data: object) -> MergeReport:
        """Take in a mapping made by `export_case`: a new case, or merged into the same one."""

    def close(self) -> None:
        """Let go of the store; entries that waited are tried once more before."""
