"""``cases``: the open cases of the desk, or go on with one; ``give``: who has this one."""

from __future__ import annotations

from crankpath.shell.desk.table import desk_table
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import MOST_LISTED, Outcome, Scene, Write, refused
from crankpath.shell.text.clean import one_line

_LONGEST = 60


def _act(scene: Scene, rest: str) -> Outcome | None:
    now = scene.clock()
    if not rest:
        listed = scene.shelf.cases(limit=MOST_LISTED)
        lines = desk_table(listed, now, scene.width, scene.state.id)
        ids = tuple(case.id for case in listed)
        words = "   @2 goes on with case 2, @word with the case that has the word."
        return Outcome(lines=(*lines, words), again=False, listed=ids)
    if rest.isdecimal():
        if 1 <= int(rest[:4]) <= len(scene.numbered):
            return Outcome(go=scene.numbered[int(rest[:4]) - 1])
        return refused(f"? There is no case {rest}; cases lists them.")
    found = scene.shelf.cases(search=rest, limit=MOST_LISTED)
    found = found or scene.shelf.cases(search=rest, limit=MOST_LISTED, open_only=False)
    if len(found) == 1:
        return Outcome(go=found[0].id)
    if not found:
        return refused("? No case has these words in its name, machine, complaint or notes.")
    lines = desk_table(found, now, scene.width, scene.state.id)
    ids = tuple(case.id for case in found)
    return Outcome(lines=(*lines, "? Give its number with @, or one more word."), again=False, listed=ids)


def _give(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Name who has this case from now on: give Mira. give nobody takes the name away.")
    name = "" if rest.lower() in ("nobody", "none") else one_line(rest, _LONGEST)
    said = f"-- {name} has this case from now on." if name else "-- Nobody in particular has this case now."
    return Outcome(lines=(said,), writes=(Write("given", {"to": name}, "advisor"),), again=False)


COMMAND = Command("cases", "[N or WORDS]", "the open cases; go on with one", _act, ("case", "desk", "@"))
GIVE = Command("give", "NAME", "who has this case from now on", _give)
