"""What happens when the key is held in start: contact by contact, then motor against engine."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from crankpath.engine.physics.motor import Load, Running, settle
from crankpath.engine.physics.tables import Figures
from crankpath.engine.solved.acts import BY_BUTTON, beside
from crankpath.engine.solved.build import Build
from crankpath.engine.solved.network import Branch, Solution, resistance_between, solve
from crankpath.engine.solved.wiring import CASE, MINUS, MOTOR_BRANCH, MOTOR_STUD, SwitchState, branches


@dataclass(frozen=True, slots=True)
class CrankOutcome:
    """What the machine does with the key held.

    does: silent, single_click, chatter, spins_free, grinds or turns (then `speed` says how
    fast). speed: of the engine, rpm. solution: node voltages and currents a meter sees,
    for chatter the mean over open and closed, which `apart` and `shut` tell one by one.
    circuit: the branches of the state it stays in. moved: whether the plunger moved at all; a
    relay alone can click too.
    """

    does: str
    speed: float
    solution: Solution
    circuit: tuple[Branch, ...]
    contacts: bool
    apart: Solution | None = None
    shut: Solution | None = None
    moved: bool = True


def crank(build: Build, figures: Figures, act: str = "") -> CrankOutcome:
    """Hold the key (or press the button, where the substitution ``act`` has one) and see."""
    control, by_key = figures["control_circuit"], act not in BY_BUTTON
    held = SwitchState(key=by_key, beside=beside(act, build, figures))
    circuit, found = _solved(build, held)
    clicks = False
    if build.layout.relay and by_key:
        if _coil(found) < build.relay.pull_amperes:
            return _stopped("silent", circuit, found, build)
        circuit, found = _solved(build, replace(held, relay=True))
        if _coil(found) < build.relay.hold_amperes:
            return _chatter(build, held, replace(held, relay=True))
        held = replace(held, relay=True)
        clicks = build.habits.relay_heard
        if build.layout.second_relay:
            if _coil(found, "magnetic_switch_coil") < build.relay.second_pull_amperes:
                return _stopped("single_click" if clicks else "silent", circuit, found, build, moved=False)
            held = replace(held, second=True)
            circuit, found = _solved(build, held)
            if _coil(found, "magnetic_switch_coil") < build.relay.second_hold_amperes:
                return _chatter(build, replace(held, second=False), held)
    pull = _ampere_turns(build, found) / build.solenoid.pull_need
    if pull < 1:
        moved = pull >= control["plunger_click_share"]["value"]
        return _stopped("single_click" if moved or clicks else "silent", circuit, found, build, moved)
    return _closed(build, figures, held)


def rested(build: Build, lamp_ohms: float = math.inf) -> tuple[tuple[Branch, ...], Solution]:
    """Circuit and solution with the key off."""
    return _solved(build, SwitchState(lamp_ohms=lamp_ohms))


def keeps_running(build: Build, figures: Figures) -> bool:
    """Whether the motor still turns once the key is released after a crank."""
    if not (build.solenoid.welded or build.held):
        return False
    live = build.held in ("key", "relay")
    held = SwitchState(key=build.held == "key", relay=live, second=live, contacts=True)
    shut = _loading(build, figures, held)
    return _turning(build, _solved(build, shut)[0]).speed > 0


def with_lamps(build: Build, outcome: CrankOutcome, lamp_ohms: float) -> Solution:
    """The outcome's circuit solved again with the lamps on."""
    lit = (Branch(b.name, b.a, b.b, lamp_ohms) if b.name == "lamps" else b for b in outcome.circuit)
    return solve(lit, MINUS)


def _closed(build: Build, figures: Figures, held: SwitchState) -> CrankOutcome:
    """The plunger has come home: does it stay there, and does the motor turn?"""
    shut = _loading(build, figures, replace(held, contacts=True))
    circuit, found = _solved(build, shut)
    if not _holds(build, found, held):
        return _chatter(build, held, shut)
    at = _turning(build, circuit)
    if at.speed == 0:
        return _stopped("single_click", circuit, found, build)
    circuit, found = _solved(build, replace(shut, emf=at.emf))
    does = "grinds" if not build.meshes else "spins_free" if _slips(build) else "turns"
    speed = at.speed if does == "turns" else 0.0
    return CrankOutcome(does, speed, found, circuit, contacts=True)


def _turning(build: Build, circuit: tuple[Branch, ...]) -> Running:
    without = [b for b in circuit if b.name != MOTOR_BRANCH]
    volts = solve(without, MINUS).across(MOTOR_STUD, CASE)
    return settle(build.motor, _load(build), volts, resistance_between(without, MOTOR_STUD, CASE))


def _solved(build: Build, state: SwitchState) -> tuple[tuple[Branch, ...], Solution]:
    circuit = tuple(branches(build, state))
    return circuit, solve(circuit, MINUS)


def _loading(build: Build, figures: Figures, shut: SwitchState) -> SwitchState:
    """Batteries give up their polarisation only to a starter's current."""
    least = figures["batteries"]["polarised_above"]["value"] * build.batteries[0].rating
    loaded = replace(shut, loaded=True)
    _, found = _solved(build, loaded)
    drawn = max(abs(found.currents[f"battery_{i + 1}"]) for i in range(len(build.batteries)))
    return loaded if drawn > least else shut


def _coil(found: Solution, name: str = "relay_coil") -> float:
    return found.currents[name]


def _ampere_turns(build: Build, found: Solution) -> float:
    solenoid = build.solenoid
    pull = found.currents["pull_in_winding"] * solenoid.pull_turns
    return abs(pull + found.currents["hold_in_winding"] * solenoid.hold_turns)


def _holds(build: Build, found: Solution, held: SwitchState) -> bool:
    if held.relay and _coil(found) < build.relay.hold_amperes:
        return False
    if held.second and _coil(found, "magnetic_switch_coil") < build.relay.second_hold_amperes:
        return False
    return _ampere_turns(build, found) >= build.solenoid.hold_need


def _slips(build: Build) -> bool:
    return build.clutch < build.load.breakaway


def _load(build: Build) -> Load:
    if not build.meshes:
        return Load(build.habits.grinding_share * build.torque)
    return Load(build.clutch) if _slips(build) else build.load


def _stopped(
    does: str, circuit: tuple[Branch, ...], found: Solution, build: Build, moved: bool = True
) -> CrankOutcome:
    closed = not math.isinf(next(b.ohms for b in circuit if b.name == "solenoid_contacts"))
    return CrankOutcome(does, 0.0, found, circuit, closed, moved=moved)


def _chatter(build: Build, apart: SwitchState, shut: SwitchState) -> CrankOutcome:
    """Contacts fall open and close again: a meter shows the mean of both states."""
    _, low = _solved(build, apart)
    circuit, high = _solved(build, shut)
    share = build.habits.chatter_closed
    mean = Solution(
        {node: share * volts + (1 - share) * low.voltages[node] for node, volts in high.voltages.items()},
        {name: share * amperes + (1 - share) * low.currents[name] for name, amperes in high.currents.items()},
    )
    return CrankOutcome("chatter", 0.0, mean, circuit, contacts=True, apart=low, shut=high)
