"""A machine without faults, as machines differ: designed around its usual current and speed.

The circuit follows from the design: a cable is the thinnest standard size that keeps the
drop the class allows, a joint has the resistance that gives its drop at the usual current.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass

from crankpath.engine.errors import EquipmentError
from crankpath.engine.physics import battery
from crankpath.engine.physics.conductors import Gauge, cable_resistance
from crankpath.engine.physics.motor import Load, Motor
from crankpath.engine.physics.tables import Figures
from crankpath.engine.solved.build import Battery, Build, Habits, Relay, Solenoid, WiringLayout
from crankpath.engine.solved.drawn.chance import chosen, drawn, happens
from crankpath.engine.solved.drawn.effects import RELAY_SIDE, at_charge
from crankpath.engine.solved.wiring import STUD

_SIZES = tuple(Gauge(awg=n) for n in (4, 2, 1, 0, -1, -2, -3))
_UP_TO_JUNCTION = 0.4  # of the cable
_OF_A_RELAY = ("second_relay",)
Equipment = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Design:
    """What the parts are sized by: class figures, current in A, speed in rpm, volts factor."""

    kind: Figures
    amperes: float
    speed: float
    scale: float


def draw_equipment(rng: random.Random, figures: Figures, given: Equipment) -> dict[str, object]:
    """Equipment facts, those given kept, the others drawn by the class's shares.

    Raises:
        EquipmentError: batteries cannot be arranged for the voltage given.
    """
    facts = dict(given)
    name = _class_name(rng, figures, given)
    kind = figures["classes"][name]
    duty, volts = name.split("_")
    facts.setdefault("system_voltage", int(volts))
    facts.setdefault("duty", duty)
    for fact in ("fuel", "battery_count", "disconnect_switch", "ground_path", "start_relay"):
        facts.setdefault(fact, chosen(rng, kind[fact]))
    facts.setdefault("control_supply", chosen(rng, figures["control_circuit"]["control_supply"]))
    facts.setdefault("air_temperature", round(drawn(rng, figures["machines"]["air_temperature"])))
    own = random.Random(repr(sorted(facts.items(), key=str)))  # so that a machine stays what its seed made it
    for fact, chance in figures["machines"]["parts"].items():
        if fact not in _OF_A_RELAY or facts["start_relay"]:
            there = happens(own, chance)
            facts.setdefault(fact, there)
    return facts


def _class_name(rng: random.Random, figures: Figures, given: Equipment) -> str:
    chances = {
        name: chance
        for name, chance in figures["machines"]["class"]["chances"].items()
        if given.get("duty", name.split("_")[0]) == name.split("_")[0]
        and str(given.get("system_voltage", name.split("_")[1])) == name.split("_")[1]
    }
    if not chances:
        raise EquipmentError(
            f"There is no class of machine with {given.get('system_voltage')} V and duty {given.get('duty')}."
        )
    return str(chosen(rng, {"chances": chances}))


def draw_build(rng: random.Random, figures: Figures, facts: Equipment) -> Build:
    """A healthy machine of that equipment."""
    kind = figures["classes"][f"{facts['duty']}_{facts['system_voltage']}"]
    scale = int(str(facts["system_voltage"])) / 12
    amperes = _usual_amperes(rng, kind, facts)
    design = Design(kind, amperes, drawn(rng, kind["usual_speed"]), scale)
    degc = float(str(facts["air_temperature"]))
    layout = _layout(rng, figures, facts)
    motor, torque = _motor(rng, figures, design)
    torque *= _cold_factor(figures, degc) * drawn(rng, figures["engine"]["friction"])
    still = drawn(rng, figures["engine"]["still_share"])
    solenoid = _solenoid(rng, figures, design)
    relay_amperes = drawn(rng, figures["control_circuit"]["coil_amperes"]) / scale
    ohms = _main_ohms(rng, figures, design) | _control_ohms(
        rng, figures, design, layout, solenoid, relay_amperes
    )
    runs, cables, counts = _cables(rng, design, facts, degc)
    own = random.Random(amperes)  # so that a machine without such parts stays what its seed made it
    for part, figure in figures["parts_circuit"].items():
        ohms[part] = scale * drawn(own, figure) / amperes
    second = _magnetic_switch(own, figures, design, ohms) if layout.second_relay else None
    control = figures["control_circuit"]
    return Build(
        layout=layout,
        batteries=_bank(rng, figures, design, facts, layout, degc),
        ohms=ohms | runs,
        motor=motor,
        load=Load(
            still * torque,
            (1 - still) * torque / design.speed,
            drawn(rng, figures["engine"]["breakaway"]) * torque,
        ),
        torque=torque,
        drag=1.0,
        clutch=math.inf,
        meshes=True,
        solenoid=solenoid,
        relay=Relay(
            relay_amperes * drawn(rng, control["relay_pull_share"]),
            relay_amperes * drawn(rng, control["relay_hold_share"]),
            *(second or ()),
        ),
        habits=_habits(rng, figures),
        usual_amperes=amperes,
        usual_speed=design.speed,
        degc=degc,
        charging_volts=scale * drawn(rng, figures["charging"]["volts"]),
        quiet_milliamperes=drawn(rng, kind["quiet_milliamperes"]),
        cables=cables,
        side_by_side=counts,
    )


def _usual_amperes(rng: random.Random, kind: Figures, facts: Equipment) -> float:
    low, high = kind["usual_amperes"]["range"]
    litres = facts.get("engine_litres")
    if isinstance(litres, (int, float)):
        return float(max(low, min(high, litres * drawn(rng, kind["amperes_per_litre"]))))
    return rng.uniform(low, high)


def litres_of(rng: random.Random, kind: Figures, amperes: float) -> float:
    """Displacement in litres that goes with that usual current."""
    return round(amperes / drawn(rng, kind["amperes_per_litre"]), 1)


def _layout(rng: random.Random, figures: Figures, facts: Equipment) -> WiringLayout:
    control = figures["control_circuit"]
    node = {"battery": chosen(rng, control["battery_feed"]), "starter_stud": STUD}
    frame = facts["ground_path"] == "frame"
    to_battery = chosen(rng, control["coil_ground"]) == "battery" and not frame
    count, volts = int(str(facts["battery_count"])), int(str(facts["system_voltage"]))
    return WiringLayout(
        system_voltage=volts,
        series=2 if volts == 24 and count % 2 == 0 else 1,
        disconnect=str(facts["disconnect_switch"]),
        frame=frame,
        relay=bool(facts["start_relay"]),
        feed=node[str(facts["control_supply"])],
        relay_feed=node[chosen(rng, control["relay_feed"])],
        coil_ground="negative_clamp" if to_battery else "frame",
        accessory_ground="frame" if frame else "negative_clamp",
        junction=facts.get("junction_stud") is True,
        second_relay=facts.get("second_relay") is True and bool(facts["start_relay"]),
    )


def _cold_factor(figures: Figures, degc: float) -> float:
    engine = figures["engine"]
    need = battery.engine_need(degc) / battery.engine_need(engine["design_temperature"]["value"])
    return float(need ** engine["need_exponent"]["value"])


def _motor(rng: random.Random, figures: Figures, design: Design) -> tuple[Motor, float]:
    """The motor, and the torque in W/rpm that it has left for the engine at the usual point."""
    table, amperes = figures["motor"], design.amperes
    volts = drawn(rng, design.kind["motor_volts"])
    ohms = drawn(rng, table["drop_share"]) * volts / amperes
    residual, half = drawn(rng, design.kind["residual_flux"]), drawn(rng, table["half_flux"]) * amperes
    bare = Motor(1.0, ohms, residual, half, 0.0, gear=drawn(rng, table["gear"]))
    constant = (volts - amperes * ohms) / (bare.flux(amperes) * design.speed)
    idle = drawn(rng, design.kind["no_load_share"]) * amperes
    motor = Motor(constant, ohms, residual, half, constant * bare.flux(idle) * idle, gear=bare.gear)
    return motor, motor.torque(amperes) - motor.friction


def _solenoid(rng: random.Random, figures: Figures, design: Design) -> Solenoid:
    """Winding resistances from their currents at 10 V (20 V), the voltage that published figures are for."""
    control, test_volts, volts = figures["control_circuit"], 10 * design.scale, 12 * design.scale
    pull, hold = drawn(rng, design.kind["pull_in_amperes"]), drawn(rng, design.kind["hold_in_amperes"])
    pull_ohms, hold_ohms = test_volts / pull, test_volts / hold
    return Solenoid(
        pull_ohms,
        hold_ohms,
        pull_need=(volts / pull_ohms + volts / hold_ohms) * drawn(rng, control["solenoid_pull_share"]),
        hold_need=volts / hold_ohms * drawn(rng, control["solenoid_hold_share"]),
    )


def _main_ohms(rng: random.Random, figures: Figures, design: Design) -> dict[str, float]:
    control = figures["control_circuit"]
    ohms = {
        segment: design.scale * drawn(rng, figure) / design.amperes
        for segment, figure in figures["main_circuit"].items()
    }
    ohms["accessories"] = 12 * design.scale / drawn(rng, control["accessory_amperes"])
    ohms["lamps"] = 12 * design.scale**2 / drawn(rng, control["lamp_amperes"])
    ohms["insulation"] = control["insulation_ohms"]["value"]
    return ohms


def _control_ohms(
    rng: random.Random,
    figures: Figures,
    design: Design,
    layout: WiringLayout,
    solenoid: Solenoid,
    relay_amperes: float,
) -> dict[str, float]:
    control, scale = figures["control_circuit"], design.scale
    drawn_amperes = 12 * scale / solenoid.pull_ohms + 12 * scale / solenoid.hold_ohms
    names = ("control_feed_wire", "start_fuse", "key_switch", "interlock_switch", "control_wire")
    heavy = RELAY_SIDE if layout.relay else names
    ohms = {name: scale * drawn(rng, control["solenoid_path"]) / drawn_amperes for name in heavy}
    if layout.relay:
        for name in (*names, "relay_ground"):
            ohms[name] = scale * drawn(rng, control["coil_path"]) / relay_amperes
        ohms["relay_coil"] = 12 * scale / relay_amperes
    return ohms


def _magnetic_switch(
    rng: random.Random, figures: Figures, design: Design, ohms: dict[str, float]
) -> tuple[float, float]:
    """Coil currents in A at which it closes and holds; its coil and contacts go into `ohms`."""
    control, volts = figures["control_circuit"], 12 * design.scale
    amperes = drawn(rng, control["magnetic_switch_amperes"]) / design.scale
    ohms["magnetic_switch_coil"] = volts / amperes
    ohms["magnetic_switch_contacts"] = ohms["relay_contacts"]
    shares = (control["relay_pull_share"], control["relay_hold_share"])
    return amperes * drawn(rng, shares[0]), amperes * drawn(rng, shares[1])


def _cables(
    rng: random.Random, design: Design, facts: Equipment, degc: float
) -> tuple[dict[str, float], dict[str, dict[str, str]], dict[str, int]]:
    """Ohm of both runs, their gauge and length as one would write them, and cables side by side."""
    ohms: dict[str, float] = {}
    cables: dict[str, dict[str, str]] = {}
    counts: dict[str, int] = {}
    for run in ("positive", "negative"):
        count = facts.get(f"{run}_cables")
        allowed = drawn(rng, design.kind["cable_volts"]) / design.amperes
        metres = rng.uniform(*design.kind["cable_metres"][run])
        gauge, parallel = _size(metres, allowed, int(str(count)) if count else None)
        metres = min(metres, allowed * parallel / gauge.ohm_per_metre)
        whole = cable_resistance(gauge, metres, degc, parallel)
        rest = whole * rng.uniform(0.15, 0.45) if facts["disconnect_switch"] == run else 0.0
        ohms[f"{run}_cable"], ohms[f"{run}_cable_rest"] = whole - rest, rest or whole
        if run == "positive" and facts.get("junction_stud") is True:
            ohms["positive_cable_up"] = ohms["positive_cable"] * _UP_TO_JUNCTION
            ohms["positive_cable"] -= ohms["positive_cable_up"]
        cables[run] = {"gauge": str(gauge), "length": f"{metres:.1f} m"}
        counts[run] = parallel
    return ohms, cables, counts


def _size(metres: float, allowed_ohms: float, count: int | None) -> tuple[Gauge, int]:
    """The thinnest size, one cable or two, that stays within the resistance; else the thickest."""
    for parallel in (count,) if count else (1, 2):
        for gauge in _SIZES:
            if gauge.ohm_per_metre * metres / parallel <= allowed_ohms:
                return gauge, parallel
    return _SIZES[-1], count or 2


def _bank(
    rng: random.Random, figures: Figures, design: Design, facts: Equipment, layout: WiringLayout, degc: float
) -> tuple[Battery, ...]:
    table, count = figures["batteries"], int(str(facts["battery_count"]))
    cca = facts.get("cca")
    whole = float(str(cca)) if cca else design.amperes * drawn(rng, design.kind["rating_over_current"])
    rating = round(whole * layout.series / count, -1)
    units = round(design.scale) // layout.series
    charge, able = drawn(rng, table["charge"]), drawn(rng, table["ability"])
    link = design.scale * drawn(rng, table["link_volts"]) / design.amperes

    def one() -> Battery:
        health = able * rng.uniform(0.97, 1.03)
        ohms = units * battery.rating_resistance(rating, degc) / health + link
        fresh = Battery(0.0, ohms, units * drawn(rng, table["polarisation"]), health, rating)
        own = min(1.0, charge + rng.uniform(-1, 1) * table["charge_spread"]["value"])
        return at_charge(fresh, own, degc, units, figures)

    return tuple(one() for _ in range(count))


def _habits(rng: random.Random, figures: Figures) -> Habits:
    judgement = figures["judgement"]
    return Habits(
        relay_heard=happens(rng, figures["control_circuit"]["relay_click_heard"]),
        chatter_closed=drawn(rng, judgement["chatter_closed"]),
        grinding_share=drawn(rng, figures["engine"]["grinding_share"]),
    )
