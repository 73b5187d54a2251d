"""``back``: take an entry back, as if it had never been."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.screens.listing import entry_list, event_words, takeable


def _act(scene: Scene, rest: str) -> Outcome | None:
    events = takeable(scene.state)
    if not events:
        return refused("? There is nothing to take back.")
    if not rest:
        event = events[-1]
    elif rest.isdecimal() and 1 <= int(rest) <= len(events):
        event = events[int(rest) - 1]
    else:
        return refused(*entry_list(scene.state, scene.width), "? Which? back 2 takes entry 2 back.")
    return Outcome(
        lines=(f"-- taken back: {event_words(scene.state.kb, event)}",),
        writes=(Write("taken_back", {"event": event.id}),),
    )


COMMAND = Command("back", "[N]", "take back the last entry, or entry N", _act, ("undo",))
