"""The operator's words and the machine's facts, as far as they can be understood; pure functions."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.records import EquipmentFact, Knowledge
from crankpath.shell.reader.reader import read_text
from crankpath.shell.reader.when import when_named, when_said

_MOST_WAYS: Final = 2


def guess(kb: Knowledge, complaint: str, measurement: str) -> str | None:
    """The value of an observation that the operator's words sound like; it is asked, never taken."""
    found = read_text(complaint, kb, asked=measurement)
    values: list[float | str | None] = []
    values += [p.understood.value for p in found.taken if p.measurement == measurement]
    all_of_them = set(kb.measurements[measurement].choices)
    for doubt in found.asked:
        said = [o.value for o in doubt.options if o.measurement == measurement]
        values += said if set(said) != all_of_them else []  # that it may be anything is no guess
    return next((value for value in values if isinstance(value, str)), None)


def guess_for(case: Case, complaint: str | None, measurement: str) -> str | None:
    """The guess, while it is the complaint that is asked about; after a repair it must be looked at anew."""
    return None if case.assessment.repairs or not complaint else guess(case.kb, complaint, measurement)


def when_facts(kb: Knowledge) -> list[EquipmentFact]:
    """The facts that say when a complaint shows: yes or no, or not known."""
    return [fact for fact in kb.equipment.values() if fact.optional and set(fact.values) == {True, False}]


def told_when(kb: Knowledge, typed: str) -> dict[str, bool] | None:
    """The when-facts that an answer names, by number or word; None if it names none.

    A figure that is no number of the list makes all of them none: 12.6 is a reading.
    """
    facts = [fact.id for fact in when_facts(kb)]
    numbered = {str(n): fact for n, fact in enumerate(facts, 1)}
    numbers = re.findall(r"\d+(?:\.\d+)?", typed)
    found = {numbered[n] for n in numbers} if set(numbers) <= numbered.keys() else set()
    found |= when_named(kb, typed, facts)
    return {fact: True for fact in facts if fact in found} or None


def guess_when(kb: Knowledge, complaint: str | None) -> dict[str, bool]:
    """The when-facts that the operator's words mean; empty if none."""
    facts = [fact.id for fact in when_facts(kb)]
    found = when_said(kb, complaint or "")
    return {fact: True for fact in facts if fact in found}


def ways_to_bring_on(case: Case) -> str:
    """What to do to make a hidden fault show: what fits what was told, or the most telling, or the usual."""
    ways = case.provoke()
    fitting = [one.way.how for one in ways if one.told]
    telling = [one.way.how for one in ways if one.telling][:_MOST_WAYS]
    return "; ".join(fitting or telling or case.kb.about.bring_on)


def facts_in_words(kb: Knowledge, facts: Mapping[str, FactValue]) -> str:
    """The machine's facts in one line, without those about the complaint."""
    when = {fact.id for fact in when_facts(kb)}
    shown = {name: value for name, value in facts.items() if name in kb.equipment and name not in when}
    said = [(kb.equipment[name], value) for name, value in shown.items()]
    return ", ".join(fact_words(fact, value) for fact, value in said if not _absent(fact, value))


def dangers(kb: Knowledge, facts: Mapping[str, FactValue]) -> list[str]:
    """Labels of what a machine seldom has and nobody told of; each changes what is safe."""
    return [fact.label for fact in kb.equipment.values() if _absent(fact, facts.get(fact.id))]


def _absent(fact: EquipmentFact, value: object) -> bool:
    return fact.default is False and value is False


def fact_words(fact: EquipmentFact, value: object) -> str:
    """One fact: "24 V", "2 batteries" as "number of batteries 2", "start relay: yes"."""
    if isinstance(value, bool):
        return fact.label if value else f"no {fact.label}"
    if isinstance(value, Mapping):
        runs = (f"{run} {' '.join(map(str, part.values()))}" for run, part in value.items())
        return f"{fact.label} {', '.join(runs)}"
    if fact.unit and isinstance(value, (int, float)):
        return f"{value:g} {fact.unit}"
    if isinstance(value, str) and value == "none":
        return f"no {fact.label}"
    return str(value) if fact.said_alone else f"{fact.label} {str(value).replace('_', ' ')}"
