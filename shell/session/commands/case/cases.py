"""``cases``: the open cases of the desk, or go on with one."""

from __future__ import annotations

from crankpath.shell.desk.table import desk_table
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, refused

_MOST = 15


def _act(scene: Scene, rest: str) -> Outcome | None:
    listed = scene.shelf.cases(limit=_MOST)
    now = scene.clock()
    if not rest:
        lines = desk_table(listed, now, scene.width, scene.state.id)
        return Outcome(
            lines=(*lines, "   @2 goes on with case 2, @word with the case that has the word."), again=False
        )
    if rest.isdecimal():
        if 1 <= int(rest) <= len(listed):
            return Outcome(go=listed[int(rest) - 1].id)
        return refused(f"? There is no case {rest}; cases lists them.")
    found = scene.shelf.cases(search=rest, limit=_MOST)
    found = found or scene.shelf.cases(search=rest, limit=_MOST, open_only=False)
    if len(found) == 1:
        return Outcome(go=found[0].id)
    if not found:
        return refused("? No case has these words in its name, machine, complaint or notes.")
    order = [case.id for case in listed]
    return refused(
        *desk_table(found, now, scene.width, scene.state.id, numbers=order),
        "? Give one more word of its name.",
    )


COMMAND = Command("cases", "[N or WORDS]", "the open cases; go on with one", _act, ("case", "desk", "@"))
