"""How bad a fault is: drawn from the ranges of the parameter set, in the unit of its kind."""

from __future__ import annotations

import math
import random

from crankpath.engine.physics.tables import Figures, PhysicsError
from crankpath.engine.solved.build import Build
from crankpath.engine.solved.drawn.chance import drawn
from crankpath.engine.solved.drawn.effects import CONTROL, HALF_MESH, RELAY_SIDE, Severity

_HEALTHY_END = {"charge": 0.9, "ability": 1.0, "share": 0.0, "factor": 1.0}


def degrees_of(fault: str, figures: Figures) -> tuple[str, ...]:
    """Degrees that the parameter set knows for that fault.

    Raises:
        PhysicsError: it has no figures for the fault.
    """
    if fault not in figures["faults"]:
        raise PhysicsError(f"The parameter set has no figures for the fault '{fault}'.")
    return tuple(figures["faults"][fault])


def draw_severity(rng: random.Random, build: Build, fault: str, degree: str, figures: Figures) -> Severity:
    """Size and place of that fault at that degree on this machine.

    Raises:
        PhysicsError: the fault or its degree is not in the parameter set.
    """
    known = degrees_of(fault, figures)
    if degree not in known:
        raise PhysicsError(f"The fault '{fault}' has the degrees {', '.join(known)}, not '{degree}'.")
    figure = figures["faults"][fault][degree]
    place = _place(rng, build, fault, figure)
    raw = _raw(rng, figure)
    size = raw * _unit(build, fault, place, figure["unit"])
    return Severity(
        degree,
        size,
        place,
        extra=rng.uniform(*figure["extra"]) if "extra" in figure else 0.0,
        others=rng.uniform(*figure["others"]) if "others" in figure else 1.0,
        away=_away(rng, build, fault, place, figure, size, figures),
    )


def _raw(rng: random.Random, figure: Figures) -> float:
    if rng.random() < figure.get("shorted", 0.0):
        return drawn(rng, {"range": figure["shorted_range"], "log": True})
    return math.inf if rng.random() < figure.get("open", 0.0) else drawn(rng, figure)


def _unit(build: Build, fault: str, place: str, unit: str) -> float:
    """What a size of 1 is in ohm (or 1, where the size has no ohm)."""
    if unit == "volts":
        return build.volts_factor / build.usual_amperes
    if unit == "ohms":
        return build.volts_factor
    return _load_ohms(build, place or fault) if unit == "load" else 1.0


def _load_ohms(build: Build, place: str) -> float:
    """Resistance that the wire or contact feeds: a coil, or both windings side by side."""
    if build.layout.second_relay and place in (*RELAY_SIDE, "magnetic_switch_coil"):
        return build.ohms["magnetic_switch_coil"]
    if build.layout.relay and place not in (*RELAY_SIDE, "magnetic_switch_contacts"):
        return build.ohms["relay_coil"]
    solenoid = build.solenoid
    return 1 / (1 / solenoid.pull_ohms + 1 / solenoid.hold_ohms)


def _place(rng: random.Random, build: Build, fault: str, figure: Figures) -> str:
    relay = build.layout.relay
    if "place" in figure:
        of_the_relay = figure["place"] in (*RELAY_SIDE, "relay_ground")
        return str(figure["place"]) if relay or not of_the_relay else "control_wire"
    if fault in ("control_wiring_open", "control_wiring_resistance"):
        wires = ["control_feed_wire", "control_wire"] + (["relay_feed_wire", "start_wire"] if relay else [])
        return rng.choice(wires)
    if fault == "start_inhibited":
        return "relay_ground" if relay and rng.random() < figure["ground_side"] else "control_wire"
    if rng.random() < figure.get("half_mesh", 0.0):
        return HALF_MESH
    if fault in ("battery_dead_cell", "battery_open_inside"):
        return str(rng.randrange(len(build.batteries)))
    return ""


def _away(
    rng: random.Random, build: Build, fault: str, place: str, figure: Figures, size: float, figures: Figures
) -> float | None:
    """What is left of the fault while an intermittent symptom is away."""
    table = figures["intermittent"]
    if figure["unit"] == "volts" or fault == "starter_brushes":
        return drawn(rng, table["away_volts"]) * _unit(build, fault, place, "volts")
    if fault in CONTROL or figure["unit"] == "load":
        return drawn(rng, table["away_load"]) * _unit(build, fault, place, "load")
    if fault in table["by_position"] or figure["unit"] not in _HEALTHY_END:
        return None
    if math.isinf(size):
        return None
    end = _HEALTHY_END[figure["unit"]]
    return end + (size - end) * drawn(rng, table["away_share"])
