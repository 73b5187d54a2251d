"""What eye, ear and hand find on a machine: drawn once, so that looking twice shows the same."""

from __future__ import annotations

import random
from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Final

from crankpath.engine.physics.tables import Figures
from crankpath.engine.solved.build import Build
from crankpath.engine.solved.drawn.chance import happens
from crankpath.engine.solved.drawn.effects import CONTROL

SEEN: Final[Mapping[str, tuple[str, ...]]] = {
    "positive_post_inspection": ("positive_post_joint",),
    "negative_post_inspection": ("negative_post_joint",),
    "ground_points_inspection": ("ground_strap", "starter_mount_ground"),
}
"""Inspections and the faults that can be seen in them."""

AREAS: Final[Mapping[str, str]] = {
    "positive_post_joint": "battery_area",
    "negative_post_joint": "battery_area",
    "disconnect_contacts": "battery_area",
    "battery_open_inside": "battery_area",
    "positive_cable": "battery_area",
    "starter_stud_joint": "starter_area",
    "solenoid_contacts": "starter_area",
    "starter_brushes": "starter_area",
    "pull_in_winding": "starter_area",
    "hold_in_winding": "starter_area",
    "negative_cable": "ground_points",
    "ground_strap": "ground_points",
    "starter_mount_ground": "ground_points",
    "relay_ground": "control_wiring",
    "control_wiring_open": "control_wiring",
    "control_wiring_resistance": "control_wiring",
    **dict.fromkeys(CONTROL, "control_wiring"),
}
"""Where moving the wiring by hand can bring a fault on or clear it."""

_INSIDE: Final = frozenset(
    {"battery_open_inside", "solenoid_contacts", "starter_brushes", "pull_in_winding", "hold_in_winding"}
)
"""Faults inside a case, which moving the wiring reaches only when they are about to go anyway."""

LOOKED_AT: Final = ("engine_turns_by_hand", "ring_gear_inspection", "start_fuse_inspection")
LATER: Final = ("starter_fit_inspection", "pinion_freed", "new_fuse_holds")
"""More of them, drawn from a stream of their own so that a machine stays what its seed made it."""


def with_inspection(
    rng: random.Random, build: Build, faults: Collection[str], intermittent: bool, figures: Figures
) -> Build:
    """The machine with what is seen, heard and felt on it."""
    table = figures["inspection"]
    looks = {name: (_look(rng, table, False), _look(rng, table, True)) for name in SEEN}
    stray = rng.choice(sorted(set(AREAS.values()))) if happens(rng, table["wiggle_false"]) else "no_change"
    looks["wiggle_test"] = (stray, stray)
    wiggles = _wiggles(rng, table, faults, intermittent)
    other = any(rng.random() < table["other_position_cranks"].get(fault, 0.0) for fault in faults)
    wrong = frozenset(name for name in LOOKED_AT if happens(rng, table["wrong_look"]))
    own = random.Random(build.usual_amperes)
    wrong |= frozenset(name for name in LATER if happens(own, table["wrong_look"]))
    taps = frozenset(f for f in sorted(faults) if own.random() < table["tap_frees"].get(f, 0.0))
    if "starter_mount_ground" in faults and happens(own, table["mount_seen_loose"]):
        wrong ^= {"starter_fit_inspection"}
    if "ring_gear" in faults and not happens(rng, table["worn_seen"]):
        wrong |= {"ring_gear_inspection"}
    habits = replace(
        build.habits,
        looks=looks,
        misjudged=wrong,
        wiggles=wiggles,
        other_position=other,
        taps=taps,
        told=frozenset(f for f in sorted(faults) if rng.random() < table["start_told"].get(f, 0.0)),
        told_wrongly=happens(rng, table["start_told_wrongly"]),
    )
    return replace(build, habits=habits)


def inspected(build: Build, name: str, faults: Collection[str]) -> str:
    """What that inspection, or the wiggle test, finds while those faults are there."""
    habits = build.habits
    if name == "wiggle_test" and habits.wiggles in faults:
        return AREAS[habits.wiggles]
    sound, bad = habits.looks[name]
    return bad if any(fault in faults for fault in SEEN.get(name, ())) else sound


def _look(rng: random.Random, table: Figures, bad: bool) -> str:
    if bad and not happens(rng, table["missed"]):
        return "loose" if happens(rng, table["loose"]) else "corroded"
    if not bad and happens(rng, table["blemish_loose"]):
        return "loose"
    return "corroded" if not bad and happens(rng, table["blemish"]) else "clean_tight"


def _wiggles(rng: random.Random, table: Figures, faults: Collection[str], intermittent: bool) -> str:
    tells = table["wiggle_intermittent" if intermittent else "wiggle_steady"]
    for fault in sorted(faults):
        if fault in AREAS and (intermittent or fault not in _INSIDE) and happens(rng, tells):
            return fault
    return ""
