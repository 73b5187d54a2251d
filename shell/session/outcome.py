"""What an input leads to: lines to show, entries to write, where to go; plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from crankpath.shell.session.questions import Question
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.records import CaseSummary, Event


@dataclass(frozen=True, slots=True)
class Write:
    """An entry for the case: kind and body as the store keeps them."""

    kind: str
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Option:
    """One way to understand what was typed."""

    measurement: str
    text: str
    says: str


@dataclass(frozen=True, slots=True)
class Pending:
    """Something typed that is asked back; Enter takes the option if there is only one."""

    message: str
    options: tuple[Option, ...]
    symptom: bool | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What follows from an input.

    Attributes:
        lines: to show at once.
        writes: entries, in order.
        choose: a reading to ask for next.
        pending: what to ask back.
        go: id of a case to go on with; new: begin another case.
        begin: events of a case that comes from a file.
        leave: end the session.
        again: show the question again afterwards.
    """

    lines: tuple[str, ...] = ()
    writes: tuple[Write, ...] = ()
    choose: str | None = None
    pending: Pending | None = None
    go: str | None = None
    new: bool = False
    leave: bool = False
    again: bool = True


class Shelf(Protocol):
    """The cases that can be looked at."""

    def cases(self, *, open_only: bool = ..., search: str = ..., limit: int = ...) -> tuple[CaseSummary, ...]:
        """Cases, the last worked on first."""

    def events(self, case_id: str) -> tuple[Event, ...]:
        """All events of a case."""


@dataclass(frozen=True)
class Scene:
    """What an input is understood in: the case, the question that was shown, the width of the terminal."""

    state: CaseState
    asked: Question
    width: int
    shelf: Shelf


def refused(*lines: str) -> Outcome:
    """Nothing was written; say why and leave the question standing."""
    return Outcome(lines=tuple(lines), again=False)
