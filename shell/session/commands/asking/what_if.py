"""``if``: what a reading would change, without recording it."""

from __future__ import annotations

from crankpath.engine.cases.case import Case
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.input.readings import readings
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused
from crankpath.shell.session.questions import AskReading, AskSafe
from crankpath.shell.session.screens.ranking import bars, movement
from crankpath.shell.session.screens.wording import INDENT
from crankpath.shell.text.columns import wrapped


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return refused("? Write a reading after the word: if NAME 0.1")
    case = scene.state.case
    expecting = scene.asked.measurement if isinstance(scene.asked, AskReading | AskSafe) else None
    understood = readings(case, rest, expecting)
    if understood is None or not understood.writes:
        return refused("? No reading found there; write for example: if NAME 0.1")
    then = _with(case, understood.writes)
    said = f"If so (nothing is recorded): {' '.join(movement(case, then))}"
    lines = [*wrapped(said, scene.width, "-- ", INDENT), *bars(then, scene.width)]
    return Outcome(lines=tuple(lines), again=False)


def _with(case: Case, writes: tuple[Write, ...]) -> Case:
    for write in writes:
        body = write.body
        if write.kind == "reading":
            case = case.what_if(str(body["measurement"]), str(body["text"]), body["symptom"] is not False)
    return case


COMMAND = Command("if", "READING", "what it would change; records nothing", _act)
