"""The circuit of a machine as branches between test points, for one state of its contacts."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from crankpath.engine.solved.build import Build
from crankpath.engine.solved.network import Branch

PLUS, MINUS = "battery_positive_post", "battery_negative_post"
STUD, MOTOR_STUD, CASE = "starter_battery_stud", "starter_motor_stud", "starter_case"
START = "solenoid_start_terminal"
MOTOR_BRANCH = "starter_motor"


@dataclass(frozen=True, slots=True)
class SwitchState:
    """One state of key and contacts.

    key: held in start. relay, second, contacts: start relay, magnetic switch and solenoid closed. emf: the
    motor's, V. loaded: a starter's current flows. beside: what a substitution adds.
    """

    key: bool = False
    relay: bool = False
    second: bool = False
    contacts: bool = False
    emf: float = 0.0
    loaded: bool = False
    beside: tuple[Branch, ...] = ()
    lamp_ohms: float = math.inf


def branches(build: Build, state: SwitchState) -> list[Branch]:
    """Every branch of the machine in that state; branch names are segment ids where there is one."""
    return [*_bank(build, state), *_main(build, state), *_control(build, state), *state.beside]


def _bank(build: Build, state: SwitchState) -> Iterator[Branch]:
    series = build.layout.series
    for index, battery in enumerate(build.batteries):
        string, place = divmod(index, series)
        low = MINUS if place == 0 else f"between_batteries_{string}_{place}"
        high = PLUS if place == series - 1 else f"between_batteries_{string}_{place + 1}"
        emf = battery.emf - (battery.polarised if state.loaded else 0.0)
        yield Branch(f"battery_{index + 1}", low, high, battery.ohms, max(0.0, emf))


def _main(build: Build, state: SwitchState) -> Iterator[Branch]:
    ohms, layout = build.ohms, build.layout
    yield Branch("positive_post_joint", PLUS, "positive_clamp", ohms["positive_post_joint"])
    start = "positive_clamp"
    if layout.disconnect == "positive":
        yield Branch("positive_cable_rest", start, "disconnect_in", ohms["positive_cable_rest"])
        yield Branch("disconnect_contacts", "disconnect_in", "disconnect_out", ohms["disconnect_contacts"])
        start = "disconnect_out"
    if layout.junction:
        yield Branch("positive_cable_up", start, "junction_in", ohms["positive_cable_up"])
        yield Branch("junction_joint", "junction_in", "junction_out", ohms["junction_joint"])
        start = "junction_out"
    yield Branch("positive_cable", start, "positive_lug", ohms["positive_cable"])
    yield Branch("starter_stud_joint", "positive_lug", STUD, ohms["starter_stud_joint"])
    contacts = ohms["solenoid_contacts"] if state.contacts else math.inf
    yield Branch("solenoid_contacts", STUD, MOTOR_STUD, contacts)
    yield Branch(MOTOR_BRANCH, MOTOR_STUD, CASE, build.motor.ohms, -state.emf)
    yield Branch("starter_mount_ground", CASE, "engine_block", ohms["starter_mount_ground"])
    yield Branch("ground_strap", "engine_block", "frame", ohms["ground_strap"])
    landing = "frame" if layout.frame else "engine_block"
    yield Branch("negative_lug_joint", landing, "negative_lug", ohms["negative_lug_joint"])
    end = "negative_clamp"
    if layout.disconnect == "negative":
        yield Branch("disconnect_contacts", "disconnect_out", "disconnect_in", ohms["disconnect_contacts"])
        yield Branch("negative_cable_rest", "disconnect_in", end, ohms["negative_cable_rest"])
        end = "disconnect_out"
    yield Branch("negative_cable", "negative_lug", end, ohms["negative_cable"])
    yield Branch("negative_post_joint", "negative_clamp", MINUS, ohms["negative_post_joint"])
    yield from _bystanders(build, state)


def _bystanders(build: Build, state: SwitchState) -> Iterator[Branch]:
    ohms, layout = build.ohms, build.layout
    quiet = layout.system_voltage / (build.quiet_milliamperes / 1000)
    yield Branch("quiet_load", "positive_clamp", layout.accessory_ground, quiet)
    awake = ohms["accessories"] if state.key else math.inf
    yield Branch("accessories", "positive_clamp", layout.accessory_ground, awake)
    yield Branch("lamps", "positive_clamp", layout.accessory_ground, state.lamp_ohms)
    yield Branch("stud_insulation", STUD, CASE, ohms["insulation"])


def _control(build: Build, state: SwitchState) -> Iterator[Branch]:
    ohms, layout, solenoid = build.ohms, build.layout, build.solenoid
    yield Branch("control_feed_wire", layout.feed, "control_feed", ohms["control_feed_wire"])
    yield Branch("start_fuse", "control_feed", "start_fuse_out", ohms["start_fuse"])
    yield Branch(
        "key_switch", "start_fuse_out", "key_switch_out", ohms["key_switch"] if state.key else math.inf
    )
    yield Branch("interlock_switch", "key_switch_out", "interlock_out", ohms["interlock_switch"])
    if layout.relay:
        yield Branch("control_wire", "interlock_out", "relay_coil", ohms["control_wire"])
        yield Branch("relay_coil", "relay_coil", "relay_ground", ohms["relay_coil"])
        yield Branch("relay_ground", "relay_ground", layout.coil_ground, ohms["relay_ground"])
        yield Branch("relay_feed_wire", layout.relay_feed, "relay_feed", ohms["relay_feed_wire"])
        contacts = ohms["relay_contacts"] if state.relay else math.inf
        yield Branch("relay_contacts", "relay_feed", "relay_out", contacts)
        end = "magnetic_switch_coil" if layout.second_relay else START
        yield Branch("start_wire", "relay_out", end, ohms["start_wire"])
        if layout.second_relay:
            yield Branch("magnetic_switch_coil", end, CASE, ohms["magnetic_switch_coil"])
            closed = ohms["magnetic_switch_contacts"] if state.second else math.inf
            yield Branch("magnetic_switch_contacts", STUD, START, closed)
    else:
        yield Branch("control_wire", "interlock_out", START, ohms["control_wire"])
    yield Branch("pull_in_winding", START, MOTOR_STUD, solenoid.pull_ohms)
    yield Branch("hold_in_winding", START, CASE, solenoid.hold_ohms)
