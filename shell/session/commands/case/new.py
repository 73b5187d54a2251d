"""``new``: start another case; this one stays open."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene


def _act(scene: Scene, rest: str) -> Outcome | None:
    return None if rest else Outcome(new=True)


COMMAND = Command("new", "", "start another case; this one stays open", _act)
