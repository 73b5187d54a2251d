"""The operator's words and the machine's facts, as far as they can be understood; pure functions."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.records import EquipmentFact, Knowledge
from crankpath.engine.typed.units import fold

_WORD: Final = re.compile(r"[a-z0-9']+")
_SAID_AS: Final = {
    "when_hot": ("hot", "warm"),
    "when_cold": ("cold", "frost", "winter"),
    "when_wet": ("wet", "rain", "wash"),
    "after_standing": ("stand", "stood", "night", "morning", "weekend"),
    "over_bumps": ("bump", "rough", "shak", "wiggl", "vibrat"),
}  # fmt: skip
_BRING_ON: Final = {
    "when_hot": "work it hot, stop, crank at once", "when_cold": "crank it stone cold",
    "when_wet": "wet the joints and plugs", "after_standing": "let it stand, then crank first thing",
    "over_bumps": "shake harness, clamps and lugs while a helper holds the key",
}  # fmt: skip
OF_THE_DAY: Final = frozenset({"air_temperature"})
"""Facts told of a machine that are not kept for its next case."""


def _words(text: str) -> list[str]:
    return _WORD.findall(fold(text).lower())


def guess(kb: Knowledge, complaint: str, measurement: str) -> str | None:
    """The value of an observation that the operator's words sound like, by the knowledge base's phrases.

    The longest phrase whose words all stand in the complaint, in order, decides.
    """
    said = _words(complaint)
    fits = [
        (len(words), value)
        for phrase, (about, value) in kb.complaints.items()
        if about == measurement and (words := _words(phrase)) and _in_order(words, said)
    ]
    return max(fits, key=lambda fit: fit[0])[1] if fits else None


def guess_for(case: Case, complaint: str | None, measurement: str) -> str | None:
    """The guess, while it is the complaint that is asked about; after a repair it must be looked at anew."""
    return None if case.assessment.repairs or not complaint else guess(case.kb, complaint, measurement)


def _in_order(words: Iterable[str], said: list[str]) -> bool:
    rest = iter(said)
    return all(any(word == heard for heard in rest) for word in words)


def when_facts(kb: Knowledge) -> list[EquipmentFact]:
    """The facts that say when a complaint shows: yes or no, or not known."""
    return [fact for fact in kb.equipment.values() if fact.optional and set(fact.values) == {True, False}]


def told_when(kb: Knowledge, typed: str) -> dict[str, bool] | None:
    """The when-facts that a line names, by number or word; None if it names none."""
    facts = when_facts(kb)
    found: dict[str, bool] = {}
    for word in _words(typed):
        if word.isdecimal() and 1 <= int(word) <= len(facts):
            found[facts[int(word) - 1].id] = True
        for fact in facts:
            said = (
                *_SAID_AS.get(fact.id, ()),
                *(w for w in _words(fact.label) if len(w) > 4 and w != "worse"),
            )
            if any(word.startswith(s) for s in said):
                found[fact.id] = True
    return found or None


def guess_when(kb: Knowledge, complaint: str | None) -> dict[str, bool]:
    """The when-facts that the operator's words sound like; empty if none. Figures in them mean no fact."""
    return told_when(kb, re.sub(r"\d+", " ", complaint or "")) or {}


def ways_to_bring_on(told: Mapping[str, Any]) -> str:
    """What to do to make a hidden fault show, those first that fit what was told."""
    fitting = [way for fact, way in _BRING_ON.items() if told.get(fact) is True]
    usual = ["wiggle clamps, lugs and plugs", "load it with lights and blower", "heat or wet it"]
    return "; ".join(fitting or usual)


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
    if fact.unit and isinstance(value, (int, float)):
        return f"{value:g} {fact.unit}"
    if isinstance(value, str) and value == "none":
        return f"no {fact.label}"
    plain = {"light", "heavy", "diesel", "gasoline"}
    return str(value) if str(value) in plain else f"{fact.label} {str(value).replace('_', ' ')}"
