"""``done``: a repair was made; its proof comes next."""

from __future__ import annotations

from crankpath.engine.errors import UnknownName
from crankpath.engine.typed import names
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.questions import AskRepair


def _act(scene: Scene, rest: str) -> Outcome | None:
    kb = scene.state.kb
    if scene.state.repair_pending is not None and not isinstance(scene.asked, AskRepair):
        return refused(
            f"? {kb.repairs[scene.state.repair_pending.repair].label} is noted; its proof is asked now."
        )
    if not rest and isinstance(scene.asked, AskRepair):
        return Outcome(writes=(Write("repaired", {"repair": scene.asked.repair, "cured": None}),))
    if not rest:
        return refused("? Which repair was made? Write it after the word: done REPAIR")
    try:
        repair = names.sure(rest, kb.repairs)
    except UnknownName as slip:
        return refused(f"? {slip}")
    return Outcome(writes=(Write("repaired", {"repair": repair, "cured": None}),))


COMMAND = Command("done", "[REPAIR]", "the repair is made; now its proof", _act, ("repaired",))
