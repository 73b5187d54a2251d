"""``why``: what speaks for this reading, or for and against a cause."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.commands.named import cause, measurement
from crankpath.shell.session.outcome import Outcome, Scene, refused
from crankpath.shell.session.questions import AskReading, AskSafe
from crankpath.shell.session.screens.reasons import causes_now, for_and_against, why_reading


def _act(scene: Scene, rest: str) -> Outcome | None:
    case, width = scene.state.case, scene.width
    if not rest:
        asked = scene.asked.measurement if isinstance(scene.asked, AskReading | AskSafe) else None
        lines = why_reading(scene.state, asked, width) if asked else []
        return Outcome(lines=tuple(lines + causes_now(case, width)), again=False)
    fault, slip = cause(scene, rest)
    if fault is not None:
        return Outcome(lines=tuple(for_and_against(case, fault, width)), again=False)
    name, _ = measurement(scene, rest)
    if name is not None:
        return Outcome(lines=tuple(why_reading(scene.state, name, width)), again=False)
    return refused(f"? {slip}")


COMMAND = Command("why", "[CAUSE or READING]", "what speaks for it, and against", _act, ("explain",))
