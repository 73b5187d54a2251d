"""What was sent, what is still awaited and what was promised; pure functions of a case's events in force."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.shell.store.records import Event

ANSWERS = ("reading", "cannot", "tries", "repaired")
"""Entries that answer a message."""


def awaited(events: Sequence[Event]) -> Event | None:
    """The last message, if nothing has answered it yet."""
    for event in reversed(events):
        if event.kind in ANSWERS:
            return None
        if event.kind == "sent":
            return event
    return None


def step_number(events: Sequence[Event]) -> int:
    """The number of the step that would be sent now; one that was not answered keeps its number."""
    answered, asked = 0, False
    for event in events:
        if event.kind == "sent":
            asked = True
        elif event.kind in ANSWERS and asked:
            answered, asked = answered + 1, False
    return answered + 1


def cautions_sent(events: Sequence[Event]) -> frozenset[str]:
    """Ids of the cautions that were in a message of this case."""
    listed = [event.body.get("cautions") for event in events if event.kind == "sent"]
    return frozenset(str(c) for cautions in listed if isinstance(cautions, list) for c in cautions)


def promises(events: Sequence[Event]) -> tuple[Event, ...]:
    """The promises that were not kept yet, in order."""
    kept = {
        str(event.body["kept"]) for event in events if event.kind == "promised" and event.body.get("kept")
    }
    return tuple(
        event
        for event in events
        if event.kind == "promised" and not event.body.get("kept") and event.id not in kept
    )
