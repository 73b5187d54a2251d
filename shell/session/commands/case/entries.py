"""``list``: the entries of the case, with their numbers."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene
from crankpath.shell.session.screens.listing import entry_list


def _act(scene: Scene, rest: str) -> Outcome | None:
    return None if rest else Outcome(lines=tuple(entry_list(scene.state, scene.width)), again=False)


COMMAND = Command("list", "", "the entries so far, numbered", _act, ("entries",))
