"""``note``: words for the sheet and for the next one on this case."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.text.clean import one_line


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Write the note after the word: note rained all night")
    return Outcome(lines=("-- noted.",), writes=(Write("note", {"text": one_line(rest, 2000)}),), again=False)


COMMAND = Command("note", "TEXT", "keep a note with the case", _act)
