"""Drawing machines: equipment, a sound machine of it, and faults bad enough to be complained of."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final, Protocol

from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Fault, Knowledge
from crankpath.engine.physics.tables import Figures, PhysicsError, load_parameters
from crankpath.engine.solved.build import Build
from crankpath.engine.solved.drawn.chance import drawn, happens
from crankpath.engine.solved.drawn.effects import JOINTS, Severity
from crankpath.engine.solved.drawn.healthy import draw_build, draw_equipment, litres_of
from crankpath.engine.solved.drawn.severity import degrees_of, draw_severity
from crankpath.engine.solved.inspection import with_inspection
from crankpath.engine.solved.machine import USUAL_SPEED, Machine

_TRIES: Final = 60  # machines drawn before giving up on a complaint
_FIRST_TRIES: Final = 12  # of them on one equipment, where it may change

_SOUND_TRIES: Final = 12

_NEEDS: Final[Mapping[str, tuple[str, tuple[object, ...]]]] = {
    "disconnect_contacts": ("disconnect_switch", ("positive", "negative")),
    "ground_strap": ("ground_path", ("frame",)),
    "relay_contacts": ("start_relay", (True,)),
    "relay_coil": ("start_relay", (True,)),
    "relay_ground": ("start_relay", (True,)),
    "relay_contacts_welded": ("start_relay", (True,)),
    "junction_stud_joint": ("junction_stud", (True,)),
    "magnetic_switch_contacts": ("second_relay", (True,)),
    "magnetic_switch_coil": ("second_relay", (True,)),
    "tracker_relay_open": ("tracker_relay", (True,)),
    "oil_too_thick": ("thick_oil", (True,)),
    "driven_load_stays_on": ("driven_load", (True,)),
    "wet_connector": ("when_wet", (True,)),
}
"""Faults of parts that not every machine has: the equipment fact and the values that have it."""


class HasFaults(Protocol):
    """The part of the knowledge base that is needed: its faults by id."""

    @property
    def faults(self) -> Mapping[str, Fault]:
        """Fault records by id."""
        ...


def draw_machine(
    rng: random.Random,
    kb: HasFaults | None = None,
    parameters: str = "first",
    faults: Mapping[str, str | None] | None = None,
    intermittent: bool = False,
    equipment: Mapping[str, object] | None = None,
) -> Machine:
    """A machine that shows a complaint, or a healthy one for ``faults={}``.

    Args:
        rng: the only source of chance.
        kb: gives the shares of faults and of their degrees; None only where `faults` is given.
        parameters: name of the set of figures, "first", "second" or "third".
        faults: fault id -> degree, or None for a degree by its share; None: one fault by the
            shares of the knowledge base.
        intermittent: the symptom comes and goes.
        equipment: machine facts to keep; the rest is drawn.

    Raises:
        UnknownName: a fault that the knowledge base or the parameter set does not have.
        PhysicsError: the faults need a part that the equipment lacks, or do not show on it.
    """
    figures = load_parameters(parameters)
    given = dict(equipment or {})
    for attempt in range(_TRIES):
        if attempt % _FIRST_TRIES == 0:
            facts = draw_equipment(rng, figures, _required(rng, faults or {}, given))
            wanted = _one_fault(rng, kb, facts, figures) if faults is None else dict(faults)
        machine = _machine(rng, kb, figures, facts, wanted, intermittent)
        if not wanted or machine.behaviour() != "normal":
            return _told(rng, _quiet_enough(machine), given)
    named = " and ".join(sorted(wanted))
    raise PhysicsError(f"{named} did not show in {_TRIES} machines of this equipment; leave more of it open.")


def must_fit(kb: Knowledge) -> None:
    """Raise PhysicsError unless the base is about the circuit that the solved machine has."""
    facts = draw_equipment(random.Random(0), load_parameters("first"), {})
    missing = sorted(name for name in facts if name not in kb.equipment)
    if missing:
        raise PhysicsError(
            f"This base is about another circuit ({kb.about.label}) than the solved machine. "
            f"That has {missing[0]}, which this base does not know. "
            "Use the shipped base, or a folder over it."
        )


def _required(
    rng: random.Random, faults: Mapping[str, str | None], given: Mapping[str, object]
) -> dict[str, object]:
    facts = dict(given)
    for fault in faults:
        if fault not in _NEEDS:
            continue
        fact, values = _NEEDS[fault]
        if facts.setdefault(fact, rng.choice(values)) not in values:
            raise PhysicsError(
                f"The fault {fault} needs {fact} {' or '.join(str(v).lower() for v in values)}."
            )
    if facts.get("second_relay") is True:
        facts.setdefault("start_relay", True)
    return facts


def _one_fault(
    rng: random.Random, kb: HasFaults | None, facts: Mapping[str, object], figures: Figures
) -> dict[str, str | None]:
    if kb is None:
        raise PhysicsError("Drawing a fault by its share needs a knowledge base; or name the faults.")
    known = Facts(values={k: v for k, v in facts.items() if isinstance(v, (str, int, float))})
    shares = {
        fault.id: _share(fault, known)
        for fault in kb.faults.values()
        if fault.id in figures["faults"] and _exists(fault, known, facts)
    }
    if not any(shares.values()):
        raise UnknownName("The knowledge base has no fault with a share that can be on this machine.")
    return {rng.choices(list(shares), list(shares.values()))[0]: None}


def _exists(fault: Fault, known: Facts, facts: Mapping[str, object]) -> bool:
    if fault.id in _NEEDS and facts.get(_NEEDS[fault.id][0]) not in _NEEDS[fault.id][1]:
        return False
    return fault.only is None or fault.only.holds(known) is True


def _share(fault: Fault, known: Facts) -> float:
    for share in fault.shares:
        if share.given is None or share.given.holds(known) is True:
            return share.chance
    return 0.0


def _degree(rng: random.Random, kb: HasFaults | None, fault: str, figures: Figures) -> str:
    known = degrees_of(fault, figures)
    shares = dict(kb.faults[fault].degrees) if kb is not None and fault in kb.faults else {}
    if set(shares) == set(known):
        return rng.choices(list(shares), list(shares.values()))[0]
    return rng.choice(known)


def _machine(
    rng: random.Random,
    kb: HasFaults | None,
    figures: Figures,
    facts: dict[str, object],
    wanted: Mapping[str, str | None],
    intermittent: bool,
) -> Machine:
    for fault in wanted:
        if fault not in figures["faults"]:
            raise UnknownName(f"There is no fault '{fault}' in the figures of the solved machine.")
    sound, usual_speed = _sound(rng, figures, facts)
    severities = {
        fault: draw_severity(rng, sound, fault, degree or _degree(rng, kb, fault, figures), figures)
        for fault, degree in wanted.items()
    }
    by_place = figures["intermittent"]["by_position"]
    comes_and_goes = bool(wanted) and (
        intermittent or any(rng.random() < by_place[f] for f in wanted if f in by_place)
    )
    rate = drawn(rng, figures["intermittent"]["rate"]) if comes_and_goes else 1.0
    sound = with_inspection(rng, sound, severities, comes_and_goes, figures)
    known: dict[object, Any] = {USUAL_SPEED: usual_speed}
    return Machine(_facts(sound, facts), severities, comes_and_goes, rate, sound, figures, _cache=known)


def _sound(rng: random.Random, figures: Figures, facts: Mapping[str, object]) -> tuple[Build, float]:
    """A sound machine that cranks normally, and its speed; the last drawn if the weather lets none do so."""
    for _ in range(_SOUND_TRIES):
        build = draw_build(rng, figures, facts)
        machine = Machine(facts, {}, False, 1.0, build, figures)
        if machine.behaviour() == "normal":
            break
    return build, machine.usual_speed()


def _facts(build: Build, facts: Mapping[str, object]) -> dict[str, object]:
    """The equipment with what was built: cables side by side and the bank's rating."""
    found = {f"{run}_cables": count for run, count in build.side_by_side.items()}
    return {**facts, **found, "cca": round(build.strings * build.batteries[0].rating)}


def _told(rng: random.Random, machine: Machine, given: Mapping[str, object]) -> Machine:
    """The machine with the equipment that somebody would know and say."""
    known, figures = dict(machine.equipment), machine.figures
    kind = figures["classes"][f"{known['duty']}_{known['system_voltage']}"]
    known.setdefault("engine_litres", litres_of(rng, kind, machine.sound.usual_amperes))
    for fact in ("air_temperature", "cca", "engine_litres"):
        if fact not in given and not happens(rng, figures["machines"][f"{fact}_known"]):
            del known[fact]
    return replace(machine, equipment=known)


def _quiet_enough(machine: Machine) -> Machine:
    """An intermittent machine cranks well while its symptom is away: what is left is halved until it does."""
    for _ in range(6):
        if not machine.intermittent or machine.behaviour(symptom=False) == "normal":
            return machine
        machine = _but(machine, _milder(machine.severities))
    gone = {fault: replace(severity, away=None) for fault, severity in machine.severities.items()}
    return _but(machine, gone)


def _but(machine: Machine, severities: Mapping[str, Severity]) -> Machine:
    return replace(machine, severities=severities, _cache={USUAL_SPEED: machine.usual_speed()})


def _milder(severities: Mapping[str, Severity]) -> dict[str, Severity]:
    def halved(fault: str, severity: Severity) -> Severity:
        if severity.away is None:
            return severity
        # a joint or contact halves; a charge, an ability or a factor has its sound end elsewhere: let go
        additive = fault in JOINTS or severity.away < 0.5
        return replace(severity, away=severity.away / 2 if additive else None)

    return {fault: halved(fault, severity) for fault, severity in severities.items()}
