"""Every command, in the order in which `?` shows them."""

from __future__ import annotations

from typing import Final

from crankpath.shell.session.commands import (
    back,
    cannot,
    cases,
    close,
    done,
    draw,
    entries,
    files,
    how,
    leave,
    machine,
    new,
    note,
    skip,
    tries,
    what_if,
    why,
    without,
)
from crankpath.shell.session.commands.command import Command

COMMANDS: Final[tuple[Command, ...]] = (
    how.COMMAND,
    why.COMMAND,
    cannot.COMMAND,
    skip.COMMAND,
    tries.COMMAND,
    back.COMMAND,
    entries.COMMAND,
    what_if.COMMAND,
    draw.COMMAND,
    machine.COMMAND,
    without.COMMAND,
    without.WITH,
    note.COMMAND,
    done.COMMAND,
    close.COMMAND,
    cases.COMMAND,
    new.COMMAND,
    files.EXPORT,
    files.IMPORT,
    leave.COMMAND,
)


def command_of(line: str) -> tuple[Command, str] | None:
    """The command a line begins with, and the rest of the line; None if it begins with none."""
    word, _, rest = line.strip().partition(" ")
    if word.startswith("?") and len(word) > 1:
        word, rest = "?", line.strip()[1:]
    for command in COMMANDS:
        if word.lower() in (command.word, *command.others):
            return command, rest.strip()
    return None
