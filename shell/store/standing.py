"""What stays connected on a machine that has not failed here yet, until it does; pure functions of a case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from crankpath.shell.store.records import Event


@dataclass(frozen=True, slots=True)
class StandingWatch:
    """Meters that were left on. since: when, ISO 8601. until: the day to look again. call: whom to call."""

    measurements: tuple[str, ...]
    since: str
    until: str
    call: str = ""


def standing_watch(events: Sequence[Event]) -> StandingWatch | None:
    """The meters that are still on, from the entries in force.

    They stay on until anything but a good try is read, a repair is made, the case is closed, others are left
    on, or somebody says that it was looked at.
    """
    found = None
    for event in events:
        if begins_watch(event):
            found = event
        elif found is not None and ends_watch(event, found.id):
            found = None
    if found is None:
        return None
    names = tuple(map(str, found.body["watch"]))
    return StandingWatch(names, found.at, str(found.body.get("until", "")), str(found.body.get("call", "")))


def begins_watch(event: Event) -> bool:
    """Whether an entry says that meters stay on."""
    return event.kind == "promised" and bool(event.body.get("watch"))


def ends_watch(event: Event, watch: str) -> bool:
    """Whether an entry ends the watch that the entry with the id `watch` began."""
    if event.kind == "reading":
        return event.body.get("symptom") is not False
    again = begins_watch(event) and event.id != watch
    return again or event.kind in ("repaired", "closed") or event.body.get("kept") == watch
