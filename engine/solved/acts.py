"""Substitutions on a machine: what is clipped on beside a suspect, and what the machine does then."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from crankpath.engine.physics.tables import Figures
from crankpath.engine.solved.build import Build
from crankpath.engine.solved.network import Branch
from crankpath.engine.solved.wiring import CASE, MINUS, PLUS, START, STUD

Beside = Callable[[Build, Figures], Branch]


def _cable(name: str, a: str, b: str) -> Beside:
    return lambda build, figures: Branch(name, a, b, figures["substitutes"]["booster_ohms"]["value"])


def _jumper(name: str, a: str, b: str) -> Beside:
    return lambda build, figures: Branch(name, a, b, figures["control_circuit"]["bypass_ohms"]["value"])


def _pack(build: Build, figures: Figures) -> Branch:
    """A good bank of system voltage: its negative cable lands on the engine, away from the battery."""
    table, factor = figures["substitutes"], build.volts_factor
    ohms = 2 * table["booster_ohms"]["value"] + factor * table["pack_ohms"]["value"]
    return Branch("good_pack", "engine_block", PLUS, ohms, factor * table["pack_volts"]["value"])


BESIDE: Final[Mapping[str, Beside]] = {
    "solenoid_bypass": _jumper("start_button", STUD, START),
    "relay_contacts_jumped": _jumper("relay_button", "relay_feed", "relay_out"),
    "relay_ground_jumped": _jumper("ground_jumper", "relay_ground", MINUS),
    "positive_leg_bridged": _cable("booster_cable", PLUS, STUD),
    "negative_leg_bridged": _cable("booster_cable", MINUS, CASE),
    "ground_strap_bridged": _cable("booster_cable", "engine_block", "frame"),
    "good_batteries_beside": _pack,
}
"""Substitution -> the branch that it adds."""

BY_BUTTON: Final = frozenset({"solenoid_bypass", "relay_contacts_jumped"})
"""Those that crank by a button, with the key out."""


def beside(act: str, build: Build, figures: Figures) -> tuple[Branch, ...]:
    """The branches that a substitution adds; none without one."""
    return (BESIDE[act](build, figures),) if act else ()
