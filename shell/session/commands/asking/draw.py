"""``draw``: the whole circuit of this machine, with the leads of the reading marked."""

from __future__ import annotations

from crankpath.engine.knowledge.entries.machine import BRANCH
from crankpath.shell.outlets.drawing.picture import picture
from crankpath.shell.outlets.drawing.text import NARROW, WIDE, draw_control, draw_main
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.commands.named import asked_measurement
from crankpath.shell.session.outcome import Outcome, Scene, refused


def _act(scene: Scene, rest: str) -> Outcome | None:
    name, slip = asked_measurement(scene, rest)
    if name is None and rest:
        return refused(f"? {slip}")
    case = scene.state.case
    m = case.assessment.model.measurements[name] if name else None
    try:
        drawn = picture(case.kb, case.assessment.model.circuit, m)
    except ValueError as slip_in_kb:
        return refused(f"? {slip_in_kb}")
    width = WIDE if scene.width >= WIDE else max(NARROW, scene.width - 2)
    control = m is not None and drawn.holds_lead(BRANCH)
    lines = draw_control(drawn, width=width) if control else draw_main(drawn, width=width)
    return Outcome(lines=lines, again=False)


COMMAND = Command("draw", "[READING]", "the whole circuit, leads marked", _act)
