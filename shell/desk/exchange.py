"""What was sent, what is still awaited and what was promised; pure functions of a case's events in force."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.shell.store.records import Event
from crankpath.shell.store.standing import begins_watch, ends_watch

ANSWERS = ("reading", "cannot", "tries", "repaired")
"""Entries that answer a message."""

_LETTERS: Final = "bcdfghjkmnpqrstv"  # sixteen that spell no word of a reply, for sixteen hexadecimal digits
_CASE: Final = 4  # letters that stand for a case
_REFERENCE: Final = re.compile(
    rf"(?<![\w.,-])([{_LETTERS}]{{{_CASE}}})-(\d{{1,4}})(?![\w-])[:.,;]?", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Sent:
    """A message that went out.

    number: of the step. measurements: the readings it asks for, in the order of its questions.
    answered: nothing of it is awaited any more.
    """

    number: int
    event: Event
    measurements: tuple[str, ...]
    answered: bool


def messages(events: Sequence[Event]) -> tuple[Sent, ...]:
    """The messages of a case in order; one that was sent again stands twice, under the same number."""
    found: list[Sent] = []
    for place, event in enumerate(events):
        if event.kind == "sent":
            step = event.body.get("step")
            number = step if isinstance(step, int) else len(found) + 1
            found.append(Sent(number, event, _asks(event), _answered(event, events[place + 1 :])))
    return tuple(found)


def _asks(event: Event) -> tuple[str, ...]:
    listed = event.body.get("measurements") or [event.body.get("measurement")]
    return tuple(map(str, filter(None, listed))) if isinstance(listed, list) else ()


def _answered(event: Event, later: Sequence[Event]) -> bool:
    """Was every reading that it asks for told since; of a message that asks for none, anything?"""
    told = [e for e in later if e.kind in ANSWERS]
    return bool(told) and set(_asks(event)) <= {str(e.body.get("measurement")) for e in told}


def awaited(events: Sequence[Event]) -> Sent | None:
    """The last message, if it is not answered yet."""
    sent = messages(events)
    return sent[-1] if sent and not sent[-1].answered else None


def step_number(events: Sequence[Event], measurements: Sequence[str], waits_for: str) -> int:
    """The number of the step that would be sent now; what is sent again unanswered keeps its number."""
    sent = messages(events)
    if not sent:
        return 1
    last = sent[-1]
    asked = (last.measurements, last.event.body.get("waits_for"))
    again = not last.answered and asked == (tuple(measurements), waits_for)
    return last.number if again else max(one.number for one in sent) + 1


def letters_of(case_id: str) -> str:
    """The letters that stand for a case in a reference.

    >>> letters_of("01ef")
    'BCTV'
    """
    return "".join(_LETTERS[int(digit, 16)] for digit in case_id[:_CASE]).upper()


def reference(case_id: str, number: int) -> str:
    """What stands for a step of a case, in a message and in its reply."""
    return f"{letters_of(case_id)}-{number}" if case_id else ""


@dataclass(frozen=True, slots=True)
class Answering:
    """A reference in a reply. text: the reply without it."""

    letters: str
    number: int
    text: str


def answering(text: str) -> Answering | None:
    """The step that a reply says it answers; None if it names none."""
    found = _REFERENCE.search(text)
    if found is None:
        return None
    return Answering(found[1].upper(), int(found[2]), f"{text[:found.start()]} {text[found.end():]}".strip())


def cautions_sent(events: Sequence[Event]) -> frozenset[str]:
    """Ids of the cautions that were in a message of this case."""
    listed = [event.body.get("cautions") for event in events if event.kind == "sent"]
    return frozenset(str(c) for cautions in listed if isinstance(cautions, list) for c in cautions)


def promises(events: Sequence[Event]) -> tuple[Event, ...]:
    """The promises that were not kept yet, in order; to look at meters again ends where it failed before."""
    waiting: dict[str, Event] = {}
    for event in events:
        for made in [made for made in waiting.values() if begins_watch(made) and ends_watch(event, made.id)]:
            del waiting[made.id]
        if event.kind == "promised" and event.body.get("kept"):
            waiting.pop(str(event.body["kept"]), None)
        elif event.kind == "promised":
            waiting[event.id] = event
    return tuple(waiting.values())
