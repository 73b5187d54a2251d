"""``handover``: the case for the next shift."""

from __future__ import annotations

from crankpath.shell.desk.handover import handover
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene


def _act(scene: Scene, rest: str) -> Outcome | None:
    if rest:
        return None
    return Outcome(lines=tuple(handover(scene.state, scene.clock(), scene.width)), again=False)


COMMAND = Command("handover", "", "the case for the next shift", _act)
