"""What an input leads to: lines to show, entries to write, where to go; plain values."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, Protocol

from crankpath.shell.session.questions import Question
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.records import CaseSummary, Event, Write

__all__ = ["CaseList", "Choice", "Dialogue", "Outcome", "Pending", "Scene", "Write", "refused"]


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to understand what was typed."""

    measurement: str
    text: str
    says: str


@dataclass(frozen=True, slots=True)
class Pending:
    """Something typed that is asked back; a single option is taken by y, never by Enter alone.

    crank: the number of the crank that it shares with what was taken of the same line.
    """

    message: str
    options: tuple[Choice, ...]
    symptom: bool | None = None
    crank: int | None = None


class Dialogue(Protocol):
    """A few lines between the person and one command, before anything follows from them."""

    @property
    def prompt(self) -> str:
        """What stands before the cursor meanwhile, without its mark."""

    def take(self, scene: Scene, line: str) -> Outcome:
        """What a line as typed leads to; the outcome's `pending` goes on with the dialogue."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What follows from an input.

    Attributes:
        lines: to show at once.
        writes: entries, in order.
        choose: a reading to ask for next.
        pending: what to ask back, or a dialogue that takes the next line.
        go: id of a case to go on with; new: begin another case.
        whole: a whole case from a file, as `Store.import_case` takes it; it is gone on with.
        leave: end the session.
        again: show the question again afterwards.
        listed: ids of the cases in the list that is shown; @n means them until another list is.
    """

    lines: tuple[str, ...] = ()
    writes: tuple[Write, ...] = ()
    choose: str | None = None
    pending: Pending | Dialogue | None = None
    whole: object = None
    go: str | None = None
    new: bool = False
    leave: bool = False
    again: bool = True
    listed: tuple[str, ...] = ()


MOST_LISTED: Final = 15
"""Cases in a list at most."""


class CaseList(Protocol):
    """The cases that can be looked at.

    Attributes:
        place: the store's file, or the address of its database.
    """

    place: str

    def cases(
        self, *, open_only: bool = ..., search: str = ..., machine: str = ..., limit: int = ...
    ) -> tuple[CaseSummary, ...]:
        """Cases, the last worked on first; with `search`, the last opened first."""

    def events(self, case_id: str) -> tuple[Event, ...]:
        """All events of a case."""

    def export_case(self, case_id: str) -> dict[str, Any]:
        """A case with all its events, for a file."""


@dataclass(frozen=True)
class Scene:
    """What an input is understood in: the case, the question shown, the terminal's width, the time.

    listed: ids of the cases of the list that was shown last.
    """

    state: CaseState
    asked: Question
    width: int
    shelf: CaseList
    clock: Callable[[], str] = str
    listed: tuple[str, ...] = ()

    @property
    def numbered(self) -> tuple[str, ...]:
        """Ids of the cases that @1, @2 ... mean: of the list on the screen, else of the one cases shows."""
        return self.listed or tuple(case.id for case in self.shelf.cases(limit=MOST_LISTED))


def refused(*lines: str) -> Outcome:
    """Nothing was written; say why and leave the question standing."""
    return Outcome(lines=tuple(lines), again=False)
