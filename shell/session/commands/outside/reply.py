"""``reply`` and ``told``: a reply as it came, from the field technician or from the operator."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, refused
from crankpath.shell.session.replying import FIELD, OPERATOR, WHO, Gathering, begun


def _act(scene: Scene, rest: str, by: str) -> Outcome:
    if scene.state.closed:
        return refused("? This case is closed: back opens it again.")
    if rest:
        return begun(scene, rest, by)
    lines = (f">> Paste the reply {WHO[by]}; an empty line ends it.",)
    return Outcome(lines=lines, pending=Gathering(by), again=False)


COMMAND = Command(
    "reply", "[TEXT]", "a reply as it came from the field", lambda s, rest: _act(s, rest, FIELD)
)
TOLD = Command("told", "[TEXT]", "the same, from the operator", lambda s, rest: _act(s, rest, OPERATOR))
