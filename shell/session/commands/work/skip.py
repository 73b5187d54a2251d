"""``skip``: not now; the next best reading is asked."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.commands.named import asked_measurement
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.questions import AskMachine, AskWhen


def _act(scene: Scene, rest: str) -> Outcome | None:
    if isinstance(scene.asked, AskMachine | AskWhen) and not rest:
        asked = "machine" if isinstance(scene.asked, AskMachine) else "when"
        return Outcome(writes=(Write("equipment", {"facts": {}, "asked": asked}),))
    measurement, slip = asked_measurement(scene, rest)
    if measurement is None:
        return refused(f"? {slip}")
    return Outcome(writes=(Write("skip", {"measurement": measurement}),))


COMMAND = Command("skip", "[READING]", "not now; ask something else", _act, ("later",))
