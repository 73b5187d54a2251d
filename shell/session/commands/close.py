"""``close``: close the case, cured or given up."""

from __future__ import annotations

from crankpath.shell.session.answers import closing
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, refused


def _act(scene: Scene, rest: str) -> Outcome | None:
    if rest:
        return None
    return refused("? The case is closed already.") if scene.state.closed else closing(scene.state)


COMMAND = Command("close", "", "close the case, cured or given up", _act)
