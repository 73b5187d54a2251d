"""``quit``: leave; everything is on disk already."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene


def _act(scene: Scene, rest: str) -> Outcome | None:
    return None if rest else Outcome(leave=True)


COMMAND = Command("quit", "", "leave; the case waits where it is", _act, ("exit", "bye"))
