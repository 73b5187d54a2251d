"""What a mechanic reads off a meter: the solved circuit, with meter error and the ripple of cranking."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from typing import Final

from crankpath.engine.errors import UnknownName
from crankpath.engine.physics.motor import Load, settle
from crankpath.engine.physics.tables import Figures
from crankpath.engine.solved.machine import Machine
from crankpath.engine.solved.network import resistance_between
from crankpath.engine.solved.observing import OBSERVATIONS
from crankpath.engine.solved.wiring import CASE, MINUS, MOTOR_STUD, PLUS, START, STUD

Reading = float | str | None
Pairs = tuple[tuple[str, str], ...]

DROPS: Final[Mapping[str, Pairs]] = {
    "positive_leg_drop": ((PLUS, STUD),),
    "positive_post_drop": ((PLUS, "positive_clamp"),),
    "disconnect_drop": (("disconnect_in", "disconnect_out"),),
    "starter_stud_drop": (("positive_lug", STUD),),
    "solenoid_contact_drop": ((STUD, MOTOR_STUD),),
    "negative_leg_drop": ((CASE, MINUS),),
    "negative_post_drop": (("negative_clamp", MINUS),),
    "ground_strap_drop": (("engine_block", "frame"),),
    "starter_mount_drop": ((CASE, "engine_block"),),
    "relay_ground_drop": (("relay_ground", MINUS),),
    "relay_contact_drop": (("relay_feed", "relay_out"),),
    "junction_drop": (("junction_in", "junction_out"),),
    "magnetic_switch_drop": ((STUD, START),),
}
"""Drops under load: the points the two leads touch."""

OF_PARTS: Final[Mapping[str, tuple[str, ...]]] = {
    "junction_drop": ("junction_stud",),
    "magnetic_switch_drop": ("second_relay",),
    "magnetic_switch_coil_voltage": ("second_relay",),
    "tracker_bridged": ("tracker_relay",),
    "engine_unloaded": ("driven_load",),
    "engine_warmed": ("when_cold", "thick_oil"),
    "connector_inspection": ("when_wet",),
}
"""Readings of parts that not every machine has, or made in some weather only: the facts that tell."""

CABLES: Final = ("positive_cable_drop", "negative_cable_drop")
"""Drops of a cable run without its end joints and without a disconnect in it."""

VOLTAGES: Final[Mapping[str, Pairs]] = {
    "battery_crank_voltage": ((PLUS, MINUS),),
    "starter_crank_voltage": ((STUD, CASE),),
    "start_terminal_voltage": ((START, CASE),),
    "control_feed_voltage": (("start_fuse_out", MINUS),),
    "key_switch_output_voltage": (("key_switch_out", MINUS),),
    "interlock_output_voltage": (("interlock_out", MINUS),),
    "relay_coil_voltage": (("relay_coil", "relay_ground"),),
    "relay_output_voltage": (("relay_out", MINUS),),
    "magnetic_switch_coil_voltage": (("magnetic_switch_coil", CASE),),
}
"""Voltages with the key held in start."""

ELECTRIC: Final = (*DROPS, *CABLES, *VOLTAGES)
"""Readings in volts that are taken with the key in start."""


def read_meter(machine: Machine, measurement: str, rng: random.Random, symptom: bool) -> Reading:
    """A reading of that measurement; see `Machine.read`.

    Raises:
        UnknownName: there is no such measurement.
    """
    if measurement not in MEASUREMENTS:
        raise UnknownName(f"The solved machine has no measurement '{measurement}'.")
    if not can_be_taken(machine, measurement):
        return None
    if measurement in OBSERVATIONS:
        return OBSERVATIONS[measurement](machine, symptom)
    if measurement in _GAUGES:
        return _GAUGES[measurement](machine, rng, symptom)
    return _electric(machine, measurement, rng, symptom)


def exact_volts(machine: Machine, measurement: str, symptom: bool = True) -> float:
    """What a perfect meter would read: the solved difference, less what its own resistance takes."""
    key = ("exact", measurement, symptom or not machine.intermittent)
    return machine.remembered(
        key, lambda: sum(_loaded(machine, a, b, symptom) for a, b in points_of(machine, measurement))
    )


def unloaded_volts(machine: Machine, measurement: str, symptom: bool = True) -> float:
    """What stands between the same points with the key off."""
    rest = machine.solution(symptom, "rested")
    return sum(rest.across(*pair) for pair in points_of(machine, measurement))


def points_of(machine: Machine, measurement: str) -> Pairs:
    """The points that the two leads touch for a drop or a voltage; more than one pair adds up."""
    if measurement in DROPS:
        return DROPS[measurement]
    if measurement in VOLTAGES:
        return VOLTAGES[measurement]
    run = measurement.removesuffix("_cable_drop")
    split = machine.sound.layout.disconnect == run
    if run == "positive":
        ends = ("positive_clamp", "positive_lug")
        if machine.sound.layout.junction:
            parts = ((ends[0], "disconnect_in"), ("disconnect_out", "junction_in")) if split else (
                (ends[0], "junction_in"),)  # fmt: skip
            return (*parts, ("junction_out", ends[1]))
        return ((ends[0], "disconnect_in"), ("disconnect_out", ends[1])) if split else (ends,)
    # the far lead stands on the metal under the lug, so that the bolted joint counts with the cable
    ends = ("frame" if machine.sound.layout.frame else "engine_block", "negative_clamp")
    return ((ends[0], "disconnect_out"), ("disconnect_in", ends[1])) if split else (ends,)


def _loaded(machine: Machine, a: str, b: str, symptom: bool) -> float:
    outcome = machine.outcome(symptom)
    inside = machine.figures["meter"]["input_ohms"]["value"]
    across = resistance_between(outcome.circuit, a, b)
    return 0.0 if math.isinf(across) else outcome.solution.across(a, b) * inside / (inside + across)


def can_be_taken(machine: Machine, measurement: str) -> bool:
    """False for a reading of a part that the machine does not have."""
    layout = machine.sound.layout
    if measurement in OF_PARTS:
        return any(machine.equipment.get(fact) is True for fact in OF_PARTS[measurement])
    if measurement.startswith("relay_") or measurement == "start_message":
        return layout.relay
    return not (
        (measurement == "disconnect_drop" and layout.disconnect == "none")
        or (measurement in ("ground_strap_drop", "ground_strap_bridged") and not layout.frame)
        or (measurement == "battery_pair_difference" and len(machine.sound.batteries) < 2)
    )


def _electric(machine: Machine, measurement: str, rng: random.Random, symptom: bool) -> float:
    volts, ripple = exact_volts(machine, measurement, symptom), machine.figures["meter"]["ripple"]
    outcome = machine.outcome(symptom)
    if outcome.apart and outcome.shut:
        longer = rng.gauss(0, machine.figures["meter"]["chatter"]["value"])
        pairs = points_of(machine, measurement)
        volts += longer * sum(outcome.shut.across(*pair) - outcome.apart.across(*pair) for pair in pairs)
    elif outcome.contacts:
        volts *= 1 + rng.gauss(0, ripple["volts" if measurement in VOLTAGES else "drop"])
    return _shown(machine.figures, "volts", volts, rng)


def _shown(figures: Figures, kind: str, value: float, rng: random.Random) -> float:
    """The value with the meter's error, never below zero (the sign only tells which lead is where)."""
    error = figures["meter"][kind]
    seen = value * (1 + rng.gauss(0, error["relative"])) + rng.gauss(0, error["absolute"])
    return round(abs(seen), 3 if abs(seen) < 4 else 2 if abs(seen) < 40 else 1)


def _amperes(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    amperes = abs(machine.solution(symptom).currents["positive_cable"])
    if machine.outcome(symptom).contacts:
        amperes *= 1 + rng.gauss(0, machine.figures["meter"]["ripple"]["amperes"])
    return round(_shown(machine.figures, "clamp", amperes, rng))


def _speed(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    speed = machine.outcome(symptom).speed
    return round(_shown(machine.figures, "rpm", speed, rng)) if speed else 0.0


def _rest_volts(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    return _shown(machine.figures, "volts", machine.at_rest(symptom)[1].across(PLUS, MINUS), rng)


def _load_volts(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    """The weakest battery at half its rating, told for 12 V."""
    build = machine.build(symptom)
    units = round(build.volts_factor) // build.layout.series
    volts = min(max(0.0, b.emf - b.polarised - b.ohms * b.rating / 2) for b in build.batteries)
    return _shown(machine.figures, "volts", volts / units, rng)


def _pair_difference(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    """Each battery read by itself, through the meter's own resistance."""
    build, inside = machine.build(symptom), machine.figures["meter"]["input_ohms"]["value"]
    volts = [b.emf * inside / (inside + b.ohms) if b.ohms < math.inf else 0.0 for b in build.batteries]
    return _shown(machine.figures, "volts", max(volts) - min(volts), rng)


def _capacity(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    able = min(b.able for b in machine.build(symptom).batteries)
    return round(_shown(machine.figures, "percent", 100 * able, rng))


def _quiet(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    return round(_shown(machine.figures, "milliamperes", machine.build(symptom).quiet_milliamperes, rng))


def _charging(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    return _shown(machine.figures, "volts", machine.build(symptom).charging_volts, rng)


def _winding(which: str) -> Callable[[Machine, random.Random, bool], Reading]:
    def read_it(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
        solenoid, table = machine.build(symptom).solenoid, machine.figures["meter"]["over_range"]
        ohms = solenoid.pull_ohms if which == "pull" else solenoid.hold_ohms
        return str(table["text"]) if ohms > table["ohms"] else _shown(machine.figures, "ohms", ohms, rng)

    return read_it


def _released(holds: tuple[str, ...]) -> Callable[[Machine, random.Random, bool], Reading]:
    """Voltage that is still there with the key released, where one of these holds it."""

    def read_it(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
        live = machine.build(symptom).held in holds
        volts = machine.at_rest(symptom)[1].across(PLUS, MINUS) if live else 0.0
        return _shown(machine.figures, "volts", volts, rng)

    return read_it


def _bench(machine: Machine, symptom: bool) -> tuple[float, float]:
    """Current in A and motor speed in rpm, running free on the bench."""
    build, table = machine.build(symptom), machine.figures["motor"]
    at = settle(
        build.motor,
        Load(0.0),
        table["bench_volts"]["value"] * build.volts_factor,
        table["bench_ohms"]["value"],
    )
    return at.amperes, at.speed * build.motor.gear


def _bench_amperes(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    return round(_shown(machine.figures, "clamp", _bench(machine, symptom)[0], rng))


def _bench_speed(machine: Machine, rng: random.Random, symptom: bool) -> Reading:
    speed = _bench(machine, symptom)[1]
    return round(_shown(machine.figures, "rpm", speed, rng), -1) if speed else 0.0


_GAUGES: Final[Mapping[str, Callable[[Machine, random.Random, bool], Reading]]] = {
    "battery_rest_voltage": _rest_volts,
    "battery_load_voltage": _load_volts,
    "battery_pair_difference": _pair_difference,
    "battery_capacity_percent": _capacity,
    "parasitic_draw": _quiet,
    "crank_current": _amperes,
    "crank_speed": _speed,
    "pull_in_resistance": _winding("pull"),
    "hold_in_resistance": _winding("hold"),
    "start_wire_released": _released(("key", "relay")),
    "relay_coil_released": _released(("key",)),
    "starter_no_load_current": _bench_amperes,
    "starter_no_load_speed": _bench_speed,
    "charging_voltage": _charging,
}

MEASUREMENTS: Final = frozenset((*DROPS, *VOLTAGES, *CABLES, *_GAUGES, *OBSERVATIONS))
"""Every measurement that a machine can be asked for."""
