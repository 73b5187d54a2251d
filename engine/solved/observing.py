"""What a mechanic sees, hears and feels on a machine, without a meter."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Final

from crankpath.engine.solved.acts import BESIDE
from crankpath.engine.solved.cranking import CrankOutcome, with_lamps
from crankpath.engine.solved.inspection import inspected
from crankpath.engine.solved.machine import Machine
from crankpath.engine.solved.network import resistance_between
from crankpath.engine.solved.wiring import CASE, MOTOR_BRANCH, MOTOR_STUD, SwitchState, branches

Observe = Callable[[Machine, bool], str]

_BYPASSED: Final = {
    "normal": "cranks",
    "spins_free": "cranks",
    "grinds": "cranks",
    "slow": "slow",
    "chatter": "clicks",
    "single_click": "clicks",
    "silent": "nothing",
}
_WARM: Final = {
    "positive_post_joint": "positive_post",
    "negative_post_joint": "negative_post",
    "disconnect_contacts": "disconnect",
    "starter_stud_joint": "starter_stud",
    "ground_strap": "ground_points",
    "starter_mount_ground": "ground_points",
    "negative_lug_joint": "ground_points",
}


def _behaviour(machine: Machine, symptom: bool) -> str:
    return machine.behaviour(symptom)


def _click(machine: Machine, symptom: bool) -> str:
    """What one sound without a turn was: by what moved, and by the current that the motor stands under."""
    outcome, judgement = machine.outcome(symptom), machine.figures["judgement"]
    if not outcome.moved:
        return "relay_click"
    usual = abs(machine.build(symptom).layout.system_voltage) / _stalled_ohms(machine)
    share = abs(outcome.solution.currents[MOTOR_BRANCH]) / usual if outcome.contacts else 0.0
    if share >= judgement["thump_share"]["value"]:
        return "heavy_thump"
    return "hum" if share >= judgement["hum_share"]["value"] else "solenoid_click"


def _stalled_ohms(machine: Machine) -> float:
    """Resistance that the sound machine's battery sees with the motor standing."""
    sound = machine.sound
    return sound.motor.ohms + resistance_between(
        [b for b in branches(sound, SwitchState(contacts=True)) if b.name != MOTOR_BRANCH], MOTOR_STUD, CASE
    )


def _occurrence(machine: Machine, symptom: bool) -> str:
    del symptom
    return "intermittent" if machine.intermittent else "every_time"


def _lights(machine: Machine, symptom: bool) -> str:
    """The lamps against how bright they are with the key off."""
    build, judgement = machine.build(symptom), machine.figures["judgement"]
    ground = build.layout.accessory_ground
    now = with_lamps(build, machine.outcome(symptom), build.ohms["lamps"]).across("positive_clamp", ground)
    share = now / build.layout.system_voltage
    if share < judgement["lights_out_below"]["value"]:
        return "go_out"
    return "dim" if share < judgement["lights_dim_below"]["value"] else "steady"


def _looked(name: str) -> Observe:
    return lambda machine, symptom: inspected(machine.sound, name, machine.severities)


def _warm(machine: Machine, symptom: bool) -> str:
    """The joint that heats most, if it gets clearly warmer than its neighbours."""
    judgement, found = machine.figures["judgement"], machine.solution(symptom)
    ohms = machine.build(symptom).ohms
    watts = {
        joint: found.currents[joint] ** 2 * ohms[joint] if ohms[joint] < math.inf else 0.0
        for joint in _WARM
        if joint in found.currents
    }
    hottest = max(watts, key=lambda joint: watts[joint])
    kelvin = (
        watts[hottest] * judgement["warm_seconds"]["value"] / judgement["joint_joules_per_kelvin"]["value"]
    )
    return _WARM[hottest] if kelvin > judgement["warm_kelvin"]["value"] else "none"


def _by_hand(machine: Machine, symptom: bool) -> str:
    build = machine.build(symptom)
    order = ("freely", "hard", "locked")
    judgement = machine.figures["judgement"]
    place = sum(build.drag > judgement[name]["value"] for name in ("hard_above", "locked_above"))
    if "engine_turns_by_hand" in build.habits.misjudged:
        place = abs(place - 1)
    return order[place]


def _ring_gear(machine: Machine, symptom: bool) -> str:
    del symptom
    worn = "ring_gear" in machine.severities
    return "worn" if worn != ("ring_gear_inspection" in machine.sound.habits.misjudged) else "good"


def _fuse(machine: Machine, symptom: bool) -> str:
    opened = (
        machine.build(symptom).ohms["start_fuse"] > machine.figures["judgement"]["fuse_open_ohms"]["value"]
    )
    wrong = "start_fuse_inspection" in machine.sound.habits.misjudged
    return "open" if opened != wrong else "good"


def _found(name: str, faults: frozenset[str], there: str, sound: str, always: bool = False) -> Observe:
    """What is looked for, there or not, now and then misjudged; always: also while the symptom is away."""

    def observe(machine: Machine, symptom: bool) -> str:
        shows = always or symptom or not machine.intermittent
        bad = shows and not faults.isdisjoint(machine.faults)
        return there if bad != (name in machine.sound.habits.misjudged) else sound

    return observe


def _at_rest(machine: Machine, symptom: bool) -> str:
    build = machine.build(symptom)
    return "joined" if build.solenoid.welded or build.held == "pinion" else "apart"


def _tapped(machine: Machine, symptom: bool) -> str:
    freed = machine.with_repaired(machine.sound.habits.taps)
    better = freed.behaviour() == "normal" != machine.behaviour(symptom)
    return "cranks_better" if better else "no_change"


def _bypass(machine: Machine, symptom: bool) -> str:
    return _BYPASSED[machine.judged(machine.outcome(symptom, "solenoid_bypass"))]


def _substituted(act: str) -> Observe:
    """Does it crank better with the substitution: at all, at its usual speed, or clearly faster?"""

    def observe(machine: Machine, symptom: bool) -> str:
        return _better(machine, machine.outcome(symptom), machine.outcome(symptom, act))

    return observe


def _without(faults: frozenset[str]) -> Observe:
    """Does it crank better once what these faults add is taken off?"""

    def observe(machine: Machine, symptom: bool) -> str:
        if faults.isdisjoint(machine.faults):
            return "no_change"
        was, now = machine.outcome(symptom), machine.with_repaired(faults & machine.faults).outcome(symptom)
        return _better(machine, was, now)

    return observe


def _better(machine: Machine, was: CrankOutcome, now: CrankOutcome) -> str:
    faster = now.speed >= machine.figures["judgement"]["faster_from"]["value"] * max(was.speed, 1.0)
    return "cranks_better" if now.does == "turns" and faster else "no_change"


def _selector(machine: Machine, symptom: bool) -> str:
    if not machine.sound.habits.other_position or machine.behaviour(symptom) != "silent":
        return "no_change"
    other = machine.with_repaired(("interlock_switch", "start_inhibited"))
    turned = other.behaviour(symptom) in ("normal", "slow", "keeps_running")
    return "cranks_in_other_position" if turned else "no_change"


def _message(machine: Machine, symptom: bool) -> str:
    habits = machine.sound.habits
    there = machine.faults if symptom or not machine.intermittent else frozenset()
    return "withheld" if habits.told_wrongly or habits.told & there else "none"


OBSERVATIONS: Final[Mapping[str, Observe]] = {
    "crank_behaviour": _behaviour,
    "click_heard": _click,
    "occurrence": _occurrence,
    "lights_while_cranking": _lights,
    "positive_post_inspection": _looked("positive_post_inspection"),
    "negative_post_inspection": _looked("negative_post_inspection"),
    "ground_points_inspection": _looked("ground_points_inspection"),
    "wiggle_test": _looked("wiggle_test"),
    "warm_joint": _warm,
    "engine_turns_by_hand": _by_hand,
    "solenoid_bypass": _bypass,
    **{act: _substituted(act) for act in BESIDE if act != "solenoid_bypass"},
    "ring_gear_inspection": _ring_gear,
    "start_fuse_inspection": _fuse,
    "new_fuse_holds": _found("new_fuse_holds", frozenset({"start_wire_shorted"}), "blows", "holds"),
    "starter_fit_inspection": _found(
        "starter_fit_inspection", frozenset({"starter_loose"}), "loose_or_out", "good", always=True
    ),
    "tracker_bridged": _without(frozenset({"tracker_relay_open"})),
    "engine_unloaded": _without(frozenset({"driven_load_stays_on"})),
    "engine_warmed": _without(frozenset({"oil_too_thick"})),
    "connector_inspection": _found(
        "connector_inspection", frozenset({"wet_connector"}), "wet_or_green", "dry", always=True
    ),
    "pinion_freed": _found("pinion_freed", frozenset({"pinion_jammed"}), "springs_out", "no_change"),
    "solenoid_contacts_at_rest": _at_rest,
    "starter_tapped": _tapped,
    "gear_selector_trial": _selector,
    "start_message": _message,
}
"""Observation -> what answers it, given whether the symptom shows."""
