"""What each fault does to a machine as built, continuous in how bad it is."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.physics import battery
from crankpath.engine.physics.tables import Figures, interpolate
from crankpath.engine.solved.build import Battery, Build

JOINTS: Final = (
    "positive_post_joint",
    "positive_cable",
    "disconnect_contacts",
    "starter_stud_joint",
    "solenoid_contacts",
    "negative_post_joint",
    "negative_cable",
    "ground_strap",
    "starter_mount_ground",
)
"""Faults that are a resistance in the main circuit, named as their segment."""

CONTROL: Final = (
    "relay_contacts",
    "relay_coil",
    "relay_ground",
    "start_fuse",
    "key_switch",
    "interlock_switch",
)
"""Faults that are a resistance in the control circuit, named as their segment."""

OF_PARTS: Final = {
    "junction_stud_joint": "junction_joint",
    "magnetic_switch_contacts": "magnetic_switch_contacts",
    "magnetic_switch_coil": "magnetic_switch_coil",
}
"""Faults of parts that not every machine has, with the resistance that they add to."""

RELAY_SIDE: Final = ("relay_contacts", "relay_feed_wire", "start_wire")
"""Where the control circuit carries the solenoid's current although there is a relay."""


LASTING: Final = frozenset(
    {
        "battery_discharged",
        "battery_worn",
        "battery_dead_cell",
        "not_charging",
        "parasitic_drain",
        "cables_undersized",
        "engine_drag",
        "oil_too_thick",
        "driven_load_stays_on",
        "overcharging",
    }
)
"""Faults that are present continuously even for an intermittent complaint."""

HALF_MESH: Final = "half_mesh"
"""Place of a plunger that closes the contacts while the pinion is only half in mesh."""


@dataclass(frozen=True, slots=True)
class Severity:
    """How bad a fault is: its degree, its size in the unit of its kind, where, and a second figure."""

    degree: str
    size: float
    place: str = ""
    extra: float = 0.0
    others: float = 1.0  # charge of the other batteries of a bank
    away: float | None = None  # the size left while an intermittent symptom is away; None: nothing


Effect = Callable[[Build, Severity, Figures], Build]


def apply(build: Build, fault: str, severity: Severity, figures: Figures) -> Build:
    """The machine with that fault."""
    if fault in JOINTS or fault in CONTROL or fault in OF_PARTS:
        return _add_ohms(build, OF_PARTS.get(fault, fault), severity.size)
    return EFFECTS[fault](build, severity, figures)


def _add_ohms(build: Build, segment: str, ohms: float) -> Build:
    return replace(build, ohms={**build.ohms, segment: build.ohms[segment] + ohms})


def at_charge(one: Battery, charge: float, degc: float, units: int, figures: Figures) -> Battery:
    """The battery of `units` 12 V units at that charge (0 empty, below 0 over-discharged)."""
    table = figures["batteries"]
    emf = battery.rest_volts(charge, degc) + min(0.0, charge) * table["volts_below_empty"]["value"]
    points = table["ohms_by_charge"]["points"]
    usual = table["charged"]["value"]
    factor = interpolate(points, charge) / interpolate(points, usual)
    able = one.able * min(1.0, 0.6 + 0.5 * max(0.0, charge))
    return replace(one, emf=emf * units, ohms=one.ohms * factor, able=able)


def _run_down(build: Build, one: Battery, charge: float, figures: Figures) -> Battery:
    return at_charge(one, charge, build.degc, round(build.volts_factor) // build.layout.series, figures)


def _discharged(build: Build, severity: Severity, figures: Figures) -> Build:
    # the batteries of a bank never run down quite alike
    steps = [0.03 * (i % 2) for i in range(len(build.batteries))]
    pairs = zip(build.batteries, steps, strict=True)
    return replace(build, batteries=tuple(_run_down(build, b, severity.size + s, figures) for b, s in pairs))


def _not_charging(build: Build, severity: Severity, figures: Figures) -> Build:
    flat = _discharged(build, severity, figures)
    held = max(sum(b.emf for b in flat.batteries) / flat.strings, 11.4 * build.volts_factor)
    return replace(flat, charging_volts=min(build.charging_volts, held + severity.extra * build.volts_factor))


def _drain(build: Build, severity: Severity, figures: Figures) -> Build:
    flat = _discharged(build, severity, figures)
    return replace(flat, quiet_milliamperes=build.quiet_milliamperes + severity.extra)


def _worn(build: Build, severity: Severity, figures: Figures) -> Build:
    del figures
    changed = (
        replace(b, ohms=b.ohms * b.able / severity.size, able=severity.size * (1 + 0.08 * (i % 2)))
        for i, b in enumerate(build.batteries)
    )
    return replace(build, batteries=tuple(changed))


def _boiled(build: Build, severity: Severity, figures: Figures) -> Build:
    worn = _worn(build, severity, figures)
    return replace(worn, charging_volts=build.charging_volts + severity.extra * build.volts_factor)


def _one_battery(
    build: Build, severity: Severity, figures: Figures, bad: Callable[[Battery], Battery]
) -> Build:
    """One bad battery; those in parallel with it have run down on it."""
    index = int(severity.place) % len(build.batteries)
    drained = build.strings > 1

    def changed(i: int, one: Battery) -> Battery:
        if i == index:
            return bad(one)
        return _run_down(build, one, severity.others, figures) if drained else one

    return replace(build, batteries=tuple(changed(i, b) for i, b in enumerate(build.batteries)))


def _dead_cell(build: Build, severity: Severity, figures: Figures) -> Build:
    def bad(one: Battery) -> Battery:
        cell = one.emf / (6 * round(build.volts_factor) // build.layout.series)
        return replace(one, emf=one.emf - severity.size * cell, ohms=one.ohms * 1.8, able=one.able * 0.4)

    return _one_battery(build, severity, figures, bad)


def _open_inside(build: Build, severity: Severity, figures: Figures) -> Build:
    def bad(one: Battery) -> Battery:
        return replace(
            one, ohms=one.ohms + severity.size, able=one.able * one.ohms / (one.ohms + severity.size)
        )

    return _one_battery(build, severity, figures, bad)


def _undersized(build: Build, severity: Severity, figures: Figures) -> Build:
    del figures
    runs = ("positive_cable", "positive_cable_rest", "negative_cable", "negative_cable_rest")
    return replace(build, ohms={k: v * severity.size if k in runs else v for k, v in build.ohms.items()})


def _winding(build: Build, severity: Severity, name: str) -> Build:
    """A size above 1 is resistance in the winding; below 1, the share of its turns that is left."""
    solenoid, turns = build.solenoid, min(1.0, severity.size)
    if name == "pull":
        changed = replace(solenoid, pull_ohms=solenoid.pull_ohms * severity.size, pull_turns=turns)
    else:
        changed = replace(solenoid, hold_ohms=solenoid.hold_ohms * severity.size, hold_turns=turns)
    return replace(build, solenoid=changed)


def _plunger(build: Build, severity: Severity, figures: Figures) -> Build:
    del figures
    if severity.place == HALF_MESH:
        return replace(build, meshes=False)
    solenoid = build.solenoid
    return replace(build, solenoid=replace(solenoid, pull_need=solenoid.pull_need * severity.size))


def _welded(build: Build, severity: Severity, figures: Figures) -> Build:
    del severity, figures
    return replace(build, solenoid=replace(build.solenoid, welded=True))


def _held(by: str) -> Effect:
    return lambda build, severity, figures: replace(build, held=by)


def _jammed(build: Build, severity: Severity, figures: Figures) -> Build:
    """The pinion holds the contacts closed, or blocks motor and engine."""
    if severity.size < figures["engine"]["pinion_holds_share"]["value"]:
        return replace(build, held="pinion")
    return replace(build, load=replace(build.load, still=math.inf, breakaway=math.inf))


def _loose(build: Build, severity: Severity, figures: Figures) -> Build:
    """The pinion mills, or the starter stands askew and binds."""
    binds = severity.size - figures["engine"]["loose_mills_share"]["value"]
    if binds < 0:
        return replace(build, meshes=False)
    return _dragging(build, replace(severity, size=0.6 + 4 * binds), figures)


def _shorted_to_ground(build: Build, severity: Severity, figures: Figures) -> Build:
    del severity, figures
    return _add_ohms(build, "start_fuse", math.inf)


def _in_wiring(build: Build, severity: Severity, figures: Figures) -> Build:
    del figures
    return _add_ohms(build, severity.place, severity.size)


def _motor_ohms(build: Build, severity: Severity, figures: Figures) -> Build:
    del figures
    return replace(build, motor=replace(build.motor, ohms=build.motor.ohms + severity.size))


def _shorted(build: Build, severity: Severity, figures: Figures) -> Build:
    """Shorted turns: less flux and resistance, and a brake from the current in the short."""
    del figures
    motor, share = build.motor, severity.size
    braking = share * severity.extra * build.torque / build.usual_speed
    return replace(
        build,
        motor=replace(
            motor,
            volts_per_rpm=motor.volts_per_rpm * (1 - 0.5 * share),
            ohms=motor.ohms * (1 - 0.6 * share),
            braking=motor.braking + braking,
        ),
    )


def _dragging(build: Build, severity: Severity, figures: Figures) -> Build:
    del figures
    motor = build.motor
    return replace(build, motor=replace(motor, friction=motor.friction + severity.size * build.torque))


def _clutch(build: Build, severity: Severity, figures: Figures) -> Build:
    del figures
    return replace(build, clutch=severity.size * build.torque)


def _ring_gear(build: Build, severity: Severity, figures: Figures) -> Build:
    del severity, figures
    return replace(build, meshes=False)


def _drag(build: Build, severity: Severity, figures: Figures) -> Build:
    del figures
    load, by = build.load, severity.size
    if math.isinf(by):
        heavier = replace(load, still=math.inf, breakaway=math.inf)
    else:
        heavier = replace(
            load, still=load.still * by, per_rpm=load.per_rpm * by, breakaway=load.breakaway * by
        )
    return replace(build, load=heavier, drag=build.drag * by)


EFFECTS: Final[Mapping[str, Effect]] = {
    "battery_discharged": _discharged,
    "battery_worn": _worn,
    "battery_dead_cell": _dead_cell,
    "battery_open_inside": _open_inside,
    "not_charging": _not_charging,
    "parasitic_drain": _drain,
    "overcharging": _boiled,
    "cables_undersized": _undersized,
    "pull_in_winding": lambda b, s, f: _winding(b, s, "pull"),
    "hold_in_winding": lambda b, s, f: _winding(b, s, "hold"),
    "solenoid_plunger": _plunger,
    "solenoid_contacts_welded": _welded,
    "relay_contacts_welded": _held("relay"),
    "start_contact_stuck": _held("key"),
    "pinion_jammed": _jammed,
    "starter_loose": _loose,
    "start_wire_shorted": _shorted_to_ground,
    "control_wiring_open": _in_wiring,
    "control_wiring_resistance": _in_wiring,
    "start_inhibited": _in_wiring,
    "tracker_relay_open": _in_wiring,
    "wet_connector": _in_wiring,
    "starter_brushes": _motor_ohms,
    "armature_dead_spot": _motor_ohms,
    "starter_windings_shorted": _shorted,
    "starter_dragging": _dragging,
    "overrunning_clutch": _clutch,
    "ring_gear": _ring_gear,
    "engine_locked": _drag,
    "engine_drag": _drag,
    "oil_too_thick": _drag,
    "driven_load_stays_on": _drag,
}
"""Every other fault of the vocabulary."""

ORDER: Final = (
    "battery_discharged",
    "not_charging",
    "parasitic_drain",
    "battery_worn",
    "overcharging",
    "battery_dead_cell",
    "battery_open_inside",
)
"""Battery faults are applied in this order and before all others, so that a repair changes nothing else."""


def damaged(
    build: Build, severities: Mapping[str, Severity], figures: Figures, symptom: bool = True
) -> Build:
    """The machine with all those faults, as bad as they are now (or while the symptom is away)."""
    rank = {fault: i for i, fault in enumerate(ORDER)}
    for fault in sorted(severities, key=lambda f: (rank.get(f, len(rank)), f)):
        severity = severities[fault]
        if symptom:
            build = apply(build, fault, severity, figures)
        elif severity.away is not None:
            build = apply(build, fault, replace(severity, size=severity.away), figures)
    return build
