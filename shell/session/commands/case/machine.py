"""``machine``: what is known of the machine, and telling more of it."""

from __future__ import annotations

from crankpath.engine.errors import EquipmentError
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.input.answers import machine_told
from crankpath.shell.session.input.machine_words import told_machine
from crankpath.shell.session.outcome import Outcome, Scene, refused
from crankpath.shell.session.screens.listing import machine_list


def _act(scene: Scene, rest: str) -> Outcome | None:
    if not rest:
        return Outcome(lines=tuple(machine_list(scene.state, scene.width)), again=False)
    try:
        told = told_machine(scene.state.kb, rest)
    except EquipmentError as slip:
        return refused(f"? {slip}")
    return machine_told(scene, told, rest)


COMMAND = Command("machine", "[24 V, ...]", "see or correct the machine", _act)
