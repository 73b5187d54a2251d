"""What is known of the machine: values checked, defaults filled in, cables computed."""

from __future__ import annotations

from collections.abc import Mapping

from crankpath.engine.errors import EquipmentError
from crankpath.engine.knowledge.building.known_names import resistance_of
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.records import EquipmentFact, Knowledge
from crankpath.engine.physics.conductors import cable_resistance, parse_gauge, parse_length


def complete(kb: Knowledge, given: Mapping[str, object]) -> dict[str, FactValue]:
    """Machine facts by id: what was given, checked, and defaults for what was not.

    A fact with runs (run -> gauge and length) becomes a resistance of each run, ohm at the machine's
    temperature, as ``positive_cable_resistance``.

    Raises:
        EquipmentError: an unknown fact or a value that is not allowed; the message offers
            what is.
    """
    facts: dict[str, FactValue] = {}
    for name, value in given.items():
        if value is None:
            continue
        if name not in kb.equipment:
            raise EquipmentError(f"There is no machine fact '{name}'. {near(name, kb.equipment)}".rstrip())
        if not kb.equipment[name].runs:
            facts[name] = _checked(kb.equipment[name], value)
    for fact in kb.equipment.values():
        if fact.id not in facts and fact.default is not None:
            facts[fact.id] = fact.default
    for fact in kb.equipment.values():
        if fact.runs and given.get(fact.id) is not None:
            degc = next((f for f in kb.equipment.values() if f.unit == "degC"), fact).id
            facts.update(_run_facts(fact, given[fact.id], facts, float(facts.get(degc, 20.0))))
    return facts


def _checked(fact: EquipmentFact, value: object) -> FactValue:
    if fact.values:
        for allowed in fact.values:
            if _same(allowed, value):
                return allowed
        allowed_text = ", ".join(str(allowed).lower() for allowed in fact.values)
        raise EquipmentError(f"{fact.id}: {quoted(value)} is not one of {allowed_text}.")
    try:
        number = (
            float(value) if isinstance(value, (int, float, str)) and not isinstance(value, bool) else None
        )
    except ValueError:
        number = None
    unit = f" in {fact.unit}" if fact.unit else ""
    if number is None or number != number:
        raise EquipmentError(f"{fact.id}: {quoted(value)} is no number{unit}.")
    low = fact.least is not None and number < fact.least
    high = fact.most is not None and number > fact.most
    if low or high:
        raise EquipmentError(
            f"{fact.id}: {number:g}{unit} cannot be; it lies from {fact.least:g} to {fact.most:g}."
        )
    return number


def _same(allowed: FactValue, value: object) -> bool:
    if isinstance(allowed, bool) or isinstance(value, bool):
        return allowed is value or str(allowed).lower() == str(value).strip().lower()
    return allowed == value or str(allowed) == str(value).strip().lower()


def _run_facts(
    fact: EquipmentFact, told: object, facts: Mapping[str, FactValue], degc: float
) -> dict[str, FactValue]:
    runs = " and ".join(fact.runs)
    if not isinstance(told, Mapping):
        raise EquipmentError(f"{fact.id}: give gauge and length of each run, {runs}.")
    found: dict[str, FactValue] = {}
    for run, cable in told.items():
        if run not in fact.runs or not isinstance(cable, Mapping) or set(cable) != {"gauge", "length"}:
            raise EquipmentError(f"{fact.id}: {quoted(run)} needs gauge and length; the runs are {runs}.")
        count = int(facts.get(f"{run}_{fact.id}", 1))
        try:
            gauge, metres = parse_gauge(str(cable["gauge"])), parse_length(str(cable["length"]))
            found[resistance_of(fact.id, run)] = cable_resistance(gauge, metres, degc, count)
        except ValueError as slip:
            raise EquipmentError(f"{fact.id}, {run}: {slip}") from slip
    return found
