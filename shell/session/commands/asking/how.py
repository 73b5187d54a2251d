"""``?``: how the asked reading is taken, and the words that can be typed."""

from __future__ import annotations

from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.commands.named import measurement
from crankpath.shell.session.outcome import Outcome, Scene, refused
from crankpath.shell.session.questions import AskCautions, AskMachine, AskReading, AskRepair, AskSafe
from crankpath.shell.session.screens.listing import machine_list
from crankpath.shell.session.screens.procedure import command_words, procedure, readiness, repair_steps


def _act(scene: Scene, rest: str) -> Outcome | None:
    from crankpath.shell.session.commands.table import COMMANDS

    state, width = scene.state, scene.width
    if rest:
        name, slip = measurement(scene, rest)
        if name is None:
            return refused(f"? {slip}")
        return Outcome(lines=tuple(procedure(state, name, width)), again=False)
    lines: list[str] = []
    match scene.asked:
        case AskReading(measurement=name):
            lines = procedure(state, name, width)
        case AskSafe(cautions=cautions, setups=setups):
            lines = readiness(state.case, setups, cautions, width)
        case AskRepair(repair=repair) | AskCautions(repair=repair):
            lines = repair_steps(state.case, repair, width)
        case AskMachine():
            lines = machine_list(state, width)
        case _:
            pass
    shown = [(command.shown, command.about) for command in COMMANDS]
    return Outcome(lines=(*lines, *command_words(scene.state.kb.about.went_well, shown, width)), again=False)


COMMAND = Command("?", "[READING]", "how to take it; these words", _act, ("help",))
