"""Every command, in the order in which `?` shows them."""

from __future__ import annotations

from typing import Final

from crankpath.shell.session.commands.asking import chart, draw, how, what_if, why
from crankpath.shell.session.commands.case import (
    back,
    cases,
    close,
    entries,
    leave,
    machine,
    new,
    note,
    promise,
)
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.commands.outside import attach, files, handover, record, reply, send, sheet
from crankpath.shell.session.commands.work import cannot, done, skip, tries, watch, without

COMMANDS: Final[tuple[Command, ...]] = (
    how.COMMAND,
    why.COMMAND,
    cannot.COMMAND,
    skip.COMMAND,
    tries.COMMAND,
    watch.COMMAND,
    back.COMMAND,
    entries.COMMAND,
    what_if.COMMAND,
    draw.COMMAND,
    chart.COMMAND,
    machine.COMMAND,
    without.COMMAND,
    without.WITH,
    note.COMMAND,
    note.PAPERS,
    attach.COMMAND,
    send.COMMAND,
    reply.COMMAND,
    reply.TOLD,
    record.COMMAND,
    promise.COMMAND,
    promise.KEPT,
    done.COMMAND,
    close.COMMAND,
    cases.COMMAND,
    cases.GIVE,
    new.COMMAND,
    handover.COMMAND,
    sheet.COMMAND,
    files.EXPORT,
    files.IMPORT,
    leave.COMMAND,
)


def command_of(line: str) -> tuple[Command, str] | None:
    """The command a line begins with, and the rest of the line; None if it begins with none."""
    word, _, rest = line.strip().partition(" ")
    if word[:1] in ("?", "@") and len(word) > 1:  # what is meant may follow these marks at once
        word, rest = word[0], line.strip()[1:]
    for command in COMMANDS:
        if word.lower() in (command.word, *command.others):
            return command, rest.strip()
    return None
