"""The case that is open now: its events in the store, and the state they make."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session.outcome import Write
from crankpath.shell.session.questions import question
from crankpath.shell.session.state import CaseState, case_state, machines
from crankpath.shell.store.errors import StoreError, StoreUnavailable
from crankpath.shell.store.order import ordered
from crankpath.shell.store.records import Event, MergeReport
from crankpath.shell.text.clean import one_line

if TYPE_CHECKING:
    from crankpath.shell.store import Store

Clock = Callable[[], str]
"""Returns the time now, ISO 8601 in UTC."""


class OpenCase:
    """The open case of a session.

    Attributes:
        state: the case as it stands, or None before one is begun.
        clock: returns the time.
        said: sentences about the store that were not shown yet.
    """

    def __init__(self, store: Store, kb: Knowledge, clock: Clock) -> None:
        self.store, self.kb, self.clock = store, kb, clock
        self._empty = machines(kb)
        self._events: tuple[Event, ...] = ()
        self.state: CaseState | None = None
        self.said: list[str] = list(store.said)

    def open(self, case_id: str) -> CaseState:
        """Go on with a case; the one that is open stays where that fails.

        Raises:
            StoreError: there is no such case, or its entries cannot be worked out.
        """
        events = self.store.events(case_id)
        try:
            state = case_state(self.kb, self._empty, case_id, events)
            question(state)
        except Exception as slip:
            said = one_line(f"{type(slip).__name__}: {slip}", 80)
            raise StoreError(
                f"This case cannot be worked out ({said}). All its entries are kept: "
                "`crankpath export --whole` writes them for whoever can help. new begins another case."
            ) from slip
        self._events, self.state = events, state
        return state

    def begin(self, name: str, entries: Iterable[Write] = ()) -> CaseState:
        """Begin a case with its first entries, all of them or none; see `write`."""
        try:
            first = self.store.create_case(name, at=self.clock(), entries=entries)
            self._events = self.store.events(first.case_id)
        except StoreUnavailable as trouble:
            self._events = self._waiting(trouble)
        self.state = case_state(self.kb, self._empty, self._events[0].case_id, self._events)
        return self.state

    def take_in(self, whole: object) -> MergeReport:
        """Take a whole case from a file into the store, and go on with it. Raises BadEvent."""
        report = self.store.import_case(whole)
        self.open(report.case_id)
        return report

    def blank(self) -> CaseState:
        """A case that is not begun: nothing is written until something is told."""
        self._events = ()
        self.state = CaseState("", self.kb, self._empty({}, frozenset()))
        return self.state

    def write(self, writes: Iterable[Write]) -> None:
        """Put entries into the case; on disk before this returns, or a sentence says where they wait."""
        assert self.state is not None
        try:
            events = self.store.extend(self.state.id, writes, at=self.clock())
        except StoreUnavailable as trouble:
            events = self._waiting(trouble)
        self._events = ordered((*self._events, *events))
        self.state = case_state(self.kb, self._empty, self.state.id, self._events, self.state)

    def _waiting(self, trouble: StoreUnavailable) -> tuple[Event, ...]:
        """The entries that wait for the store, and have it said; raise where there are none."""
        if not trouble.events:
            raise trouble
        self.said.append(str(trouble))
        return trouble.events

    def others(self) -> tuple[Event, ...]:
        """Take in what other shells entered in this case since; return it."""
        if self.state is None or not self.state.id:
            return ()
        known = {event.id for event in self._events}
        try:
            fresh = self.store.events(self.state.id, after=_read_up_to(self._events))
        except StoreUnavailable as trouble:
            self.said.append(str(trouble))
            return ()
        found = tuple(event for event in fresh if event.id not in known)
        if found:
            self._events = ordered((*self._events, *fresh))
            self.state = case_state(self.kb, self._empty, self.state.id, self._events, self.state)
        return found


def _read_up_to(events: Iterable[Event]) -> int:
    """The number up to which every event is known; another shell may have written just before our own."""
    known = {event.sequence for event in events}
    return next(number for number in itertools.count() if number + 1 not in known)
