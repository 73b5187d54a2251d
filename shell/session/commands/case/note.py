"""``note``: words for the next one on this case; ``papers``: what the shop's own papers ask for."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import wrapped


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Write the note after the word: note rained all night")
    return Outcome(lines=("-- noted.",), writes=(Write("note", {"text": one_line(rest)}),), again=False)


_FIELDS = ("job", "serial", "hours", "reference")


def _papers(scene: Scene, rest: str) -> Outcome | None:
    label, _, value = rest.partition(" ")
    if not value.strip():
        said = f"Write which and what: papers job 4711. Usual are {', '.join(_FIELDS)}; others may be."
        return refused(*wrapped(said, scene.width, "? ", "  "))
    begun = [name for name in _FIELDS if name.startswith(label.lower()) and len(label) > 1]
    label = begun[0] if begun else one_line(label, 40)
    body = {"label": label, "text": one_line(value, 120)}
    return Outcome(lines=(f"-- {label}: {body['text']}",), writes=(Write("papers", body),), again=False)


PAPERS = Command("papers", "job 4711", "job, serial, hours, reference for the sheet", _papers)
COMMAND = Command("note", "TEXT", "keep a note with the case", _act)
