"""What an act does, what it must be told with, and whether it may be offered now.

An act is a reading, a repair or a way to set something up. The knowledge base says what it does
(``does:``, classes of ``hazards:``), and a fact that forbids a class takes every act of the class
away. Whoever offers an act asks here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from crankpath.engine.knowledge.condition import Condition, Facts
from crankpath.engine.knowledge.records import Knowledge, Measurement, Repair, Setup, Way
from crankpath.engine.machine.facts import Deduction


@dataclass(frozen=True, slots=True)
class Stop:
    """A fact that forbids classes of acts, and the rule that says so.

    forbids: hazard ids, with all that count as one of them. text: the reason, for the person.
    """

    fact: str
    rule: str
    text: str
    forbids: frozenset[str]


def classes_of(kb: Knowledge, does: Iterable[str]) -> frozenset[str]:
    """The classes named, those they count as, and those that every act belongs to."""
    found: set[str] = set()
    left = [*does, *(hazard.id for hazard in kb.hazards.values() if hazard.every_act)]
    while left:
        name = left.pop()
        if name not in found:
            found.add(name)
            left += kb.hazards[name].counts_as
    return frozenset(found)


def does_of(kb: Knowledge, act: Measurement | Repair | Setup | Way) -> tuple[str, ...]:
    """What an act does, by everything that belongs to it; the ways of a set-up are left open."""
    if not isinstance(act, Measurement):
        return act.does
    state = kb.states[act.state]
    setups = (kb.setups[name] for name in (*state.setups, *act.setups))
    return (*(name for setup in setups for name in setup.does), *state.does, *act.does)


def cautions_of_classes(kb: Knowledge, does: Iterable[str]) -> tuple[str, ...]:
    """The cautions that acts of these classes carry, in the order of the knowledge base."""
    classes = classes_of(kb, does)
    return tuple(c for hazard in kb.hazards.values() if hazard.id in classes for c in hazard.cautions)


def stops(kb: Knowledge, deduction: Deduction) -> tuple[Stop, ...]:
    """Every stop in force, each with the rule that speaks for it, in the order of the rules."""
    facts = deduction.facts
    forbids: dict[str, set[str]] = {}
    for hazard in kb.hazards.values():
        for name in hazard.forbidden_by:
            if facts.values.get(name) is True:
                forbids.setdefault(name, set()).add(hazard.id)
    found = [
        Stop(name, rule.id, rule.warn or rule.because, frozenset(forbids[name]))
        for rule in kb.facts.values()
        if rule.id in deduction.fired
        for name, value in rule.then.items()
        if value is True and name in forbids
    ]
    told = {stop.fact for stop in found}
    equipment = [
        Stop(name, "", kb.equipment[name].label, frozenset(forbids[name]))
        for name in forbids
        if name not in told and name in kb.equipment
    ]
    return (*found, *equipment)


def forbidding(kb: Knowledge, does: Iterable[str], in_force: Iterable[Stop]) -> tuple[Stop, ...]:
    """The stops that forbid an act which does this; empty if it may be offered."""
    classes = classes_of(kb, does)
    return tuple(stop for stop in in_force if stop.forbids & classes)


def ways_allowed(kb: Knowledge, setup: Setup, known: Facts, in_force: Iterable[Stop]) -> tuple[Way, ...]:
    """The ways of a set-up that this machine has and that no stop forbids."""
    here = (way for way in setup.ways if _fits(way.only, known))
    return tuple(way for way in here if not forbidding(kb, way.does, in_force))


def reading_forbidden(
    kb: Knowledge, measurement: Measurement, known: Facts, in_force: tuple[Stop, ...]
) -> tuple[Stop, ...]:
    """The stops that forbid a reading: what it does, or every way of a set-up that it needs."""
    if not in_force:
        return ()
    found = forbidding(kb, does_of(kb, measurement), in_force)
    if found:
        return found
    for name in (*kb.states[measurement.state].setups, *measurement.setups):
        setup = kb.setups[name]
        fitting = [way for way in setup.ways if _fits(way.only, known)]
        if fitting and not ways_allowed(kb, setup, known, in_force):
            return forbidding(kb, (name for way in fitting for name in way.does), in_force)
    return ()


def decided_by(kb: Knowledge, measurement: Measurement) -> frozenset[str]:
    """The readings that can show that this one must not be taken: their answer has to be known first."""
    classes = classes_of(kb, does_of(kb, measurement))
    wanted = {fact for name in classes for fact in kb.hazards[name].forbidden_by}
    known: set[str] = set()
    while known != wanted:
        known = set(wanted)
        for rule in kb.facts.values():
            unsafe = rule.unsafe is not None and rule.unsafe.matches(measurement.id, measurement.kinds)
            if unsafe or not known.isdisjoint(rule.then):
                wanted |= rule.when.names() | (rule.unless.names() if rule.unless else frozenset())
    return frozenset(known & kb.measurements.keys())


def _fits(only: Condition | None, known: Facts) -> bool:
    return only is None or only.holds(known) is not False
