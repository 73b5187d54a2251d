"""``attach``: a photo or another file, kept with an entry of the case."""

from __future__ import annotations

import re

from crankpath.engine.errors import CaseError
from crankpath.shell.files import named_path
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.screens.listing import attached_words, event_words, takeable
from crankpath.shell.store.files.attachments import Attachments
from crankpath.shell.text.columns import wrapped

_TO = re.compile(r"(.+?)\s+to\s+(\d{1,4})", re.DOTALL)
_HOLDS = ("complaint", "reading", "cannot", "tries", "repaired", "note")


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Name the file after the word: attach lug.jpg, or attach lug.jpg to 5")
    if not scene.state.id:
        return refused("? This case has no entries yet.")
    found = _TO.fullmatch(rest)
    entries = takeable(scene.state)
    if found is not None and not 1 <= int(found[2]) <= len(entries):
        return refused(f"? There is no entry {found[2]}; list numbers them.")
    holding = [event for event in entries if event.kind in _HOLDS]
    event = entries[int(found[2]) - 1] if found else (holding or entries)[-1]
    try:
        kept = Attachments(scene.shelf.place).keep(named_path(found[1] if found else rest))
    except CaseError as slip:
        return refused(*wrapped(str(slip), scene.width, "? ", "  "))
    body = {"file": kept.file, "size": kept.size, "digest": kept.digest, "event": event.id}
    said = f"{attached_words(body)} attached to: {event_words(scene.state.kb, event)}"
    lines = tuple(wrapped(said, scene.width, "-- ", "   "))
    return Outcome(lines=lines, writes=(Write("attached", body),), again=False)


COMMAND = Command("attach", "FILE [to N]", "a photo or file, kept with an entry", _act, ("photo",))
