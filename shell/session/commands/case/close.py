"""``close``: close the case, cured or given up, with the causes that were confirmed."""

from __future__ import annotations

import re

from crankpath.engine.errors import UnknownName
from crankpath.engine.typed import names
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.input.answers import closing
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused


def _act(scene: Scene, rest: str) -> Outcome | None:
    if scene.state.closed:
        return refused("? The case is already closed.")
    if not rest:
        return closing(scene.state)
    causes: list[str] = []
    for named in re.split(r"[,;]| and ", rest) if rest.lower() != "none" else ():
        try:
            causes.append(names.sure(named.strip(), scene.state.kb.faults))
        except UnknownName as slip:
            return refused(f"? {slip} close none closes it without a cause.")
    return Outcome(writes=(Write("closed", {"causes": list(dict.fromkeys(causes))}),))


COMMAND = Command("close", "[CAUSE, ...]", "close the case; name what was at fault", _act)
