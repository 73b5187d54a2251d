"""A line about the machine: its name and the facts it tells; a pure function."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from crankpath.engine.knowledge.records import EquipmentFact, Knowledge
from crankpath.engine.machine.equipment import complete
from crankpath.engine.typed.units import fold, unit_called

_GAUGE_LENGTH: Final = r"(.+?)[\s,]+([\d.]+\s*(?:m|ft|feet|cm))(?:\s+long)?"
_UNSURE: Final = ("none", "positive", "negative")
"""Values that need the name of what they are said of."""
_NO: Final = frozenset(("no", "none", "false", "without"))
_IDLE: Final = frozenset(
    ("the", "a", "of", "is", "in", "it", "with", "has", "have", "and", "on")
)
_STEM: Final = 5  # letters that two forms of a word share at least
_ENDING: Final = 2  # letters by which they differ at most
_MEANS: Final = {"single": "1", "one": "1", "two": "2", "double": "2", "twin": "2"}


@dataclass(frozen=True, slots=True)
class ToldMachine:
    """What a line told: a name (or ""), facts by id, and the pieces that were not understood."""

    name: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()


def told_machine(kb: Knowledge, typed: str) -> ToldMachine:
    """What a line says of the machine: "loader 7: 24 V, disconnect positive, no relay".

    Raises:
        EquipmentError: a fact has a value that cannot be; the message offers what can.
    """
    name, colon, rest = typed.partition(":")
    if not colon:
        name, rest = "", typed
    facts: dict[str, Any] = {}
    unknown: list[str] = []
    for piece in filter(None, (p.strip() for p in re.split(r"[;,\n]| and ", rest))):
        found = dict(_facts(kb, piece))
        if not found:
            unknown.append(piece)
        for fact, value in found.items():
            facts[fact] = {**facts.get(fact, {}), **value} if isinstance(value, dict) else value
    complete(kb, facts)
    if not facts and not colon:
        return ToldMachine(name=typed.strip())
    return ToldMachine(name.strip(), facts, tuple(unknown))


def _facts(kb: Knowledge, piece: str) -> Iterator[tuple[str, Any]]:
    for fact in kb.equipment.values():
        for run in fact.runs:
            one = re.escape(fact.id.removesuffix("s"))
            told = rf"(?:{one}s?\s+)?{re.escape(run[:3])}\w*\s+(?:{one}\s+)?{_GAUGE_LENGTH}"
            if found := re.fullmatch(told, piece.strip(), re.IGNORECASE):
                yield fact.id, {run: {"gauge": found[1].strip(), "length": found[2].strip()}}
                return
    means = dict(_MEANS)
    for fact in kb.equipment.values():
        means |= fact.said
    found_words = re.findall(r"-?\d+(?:\.\d+)?|[a-z_]+", fold(piece).lower())
    units = ((w, unit_called(w)) for w in found_words)
    words = [means.get(w, fold(unit.name).lower() if unit else w) for w, unit in units]
    ranked = sorted((_fit(fact, words) for fact in kb.equipment.values()), key=lambda fit: -fit[0])
    if ranked and ranked[0][0] > 0 and (len(ranked) == 1 or ranked[0][0] > ranked[1][0]):
        yield ranked[0][1], ranked[0][2]


def _fit(fact: EquipmentFact, words: list[str]) -> tuple[float, str, Any]:
    """How well the words tell this fact, and the value they tell; 0 if not at all."""
    names = set(re.findall(r"[a-z]+", f"{fact.id} {fact.label}".lower().replace("_", " "))) - _IDLE
    names -= {word for word, meant in fact.said.items() if not meant}
    content = [w for w in words if len(w) > 2 and w.isalpha() and w not in _IDLE | _NO]
    named = float(sum(any(_same_word(n, w) for n in names) for w in content))
    if set(fact.values) == {True, False} and (2 * named <= len(content) or any(map(_is_number, words))):
        return 0.0, fact.id, None  # more is said than that the machine has it: "engine locked", "crank 9.8"
    values = _values(fact, words)
    if not values:
        return 0.0, fact.id, None
    unit = fact.unit is not None and fold(fact.unit).lower() in words
    distinct = isinstance(values[0], str) and values[0] not in _UNSURE
    if not named and not unit and not distinct:
        return 0.0, fact.id, None
    said = {str(values[0]).lower(), *words}
    seldom = 0.2 * (fact.default is False)  # "no relay" is the one that most machines have
    return named + 0.6 * unit + 0.5 * distinct + 0.01 * len(said & names) - seldom, fact.id, values[0]


def _same_word(name: str, word: str) -> bool:
    """One word, or a form of the other: battery and batteries, start and starter."""
    short, long = sorted((name, word), key=len)
    alike = len(short) >= _STEM and len(long) - len(short) <= _ENDING
    return short == long or (alike and long.startswith(short.removesuffix("y")))


def _is_number(word: str) -> bool:
    return re.fullmatch(r"-?\d+(?:\.\d+)?", word) is not None


def _values(fact: EquipmentFact, words: list[str]) -> list[Any]:
    if set(fact.values) == {True, False}:
        no = bool(_NO & set(words))
        return [not no]
    if fact.values:
        found = [v for v in fact.values if str(v).lower() in words]
        return found or (["none"] if "none" in fact.values and _NO & set(words) else [])
    numbers = [w for w in words if _is_number(w)]
    return [float(numbers[0])] if numbers and fact.unit is not None else []
