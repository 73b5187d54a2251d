"""``cases``: list the cases, or go on with one."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, refused
from crankpath.shell.session.screens.listing import case_list

_MOST = 15


def _act(scene: Scene, rest: str) -> Outcome | None:
    listed = scene.shelf.cases(limit=_MOST)
    if not rest:
        return Outcome(lines=tuple(case_list(listed, scene.state.id, scene.width)), again=False)
    if rest.isdecimal():
        if 1 <= int(rest) <= len(listed):
            return Outcome(go=listed[int(rest) - 1].id)
        return refused(f"? There is no case {rest}; cases lists them.")
    found = scene.shelf.cases(search=rest, limit=_MOST)
    if len(found) == 1:
        return Outcome(go=found[0].id)
    if not found:
        return refused("? No case has these words in its name, machine, complaint or notes.")
    return refused(*case_list(found, scene.state.id, scene.width, numbers=[c.id for c in listed]))


COMMAND = Command("cases", "[N or WORDS]", "list the cases; go on with one", _act, ("case",))
