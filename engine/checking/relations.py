"""Who speaks of whom in a knowledge base: which rules bear on what, and who names an entry.

Entries are named by key, ``section/id``. Which rule speaks of which fault and measurement
is asked of the machines that the knowledge base can describe, so a rule on kinds and on
places of the circuit counts where it applies and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cached_property
from typing import Any, Final

from crankpath.engine.cases.casefile import CaseFile, ReadingEntry, RepairedEntry
from crankpath.engine.cases.replay import replay
from crankpath.engine.checking.survey import Survey
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.folders import SECTIONS
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import EvidenceRule, Fault, Knowledge, Measurement, Origin, Selector

TARGETS: Final[Mapping[str, str]] = {
    "places": "segments", "degree_places": "segments", "repair": "repairs", "proof": "measurements",
    "leads_to": "faults", "cautions": "cautions", "caution": "cautions", "sources": "references",
    "between": "points", "spans": "points", "ends": "points", "leaves_out": "segments", "state": "states",
    "setups": "setups", "tools": "tools", "distrust": "measurements", "whole": "measurements",
    "parts": "measurements", "implied": "measurements", "parallel": "equipment", "does": "hazards",
    "counts_as": "hazards", "finer_as": "measurements", "instead": "repairs", "until_repaired": "repairs",
}  # fmt: skip
"""Field -> the section that its ids are of."""

_NOT_SHOWN: Final = frozenset({"scale", "silence", "complaints", "settings"})
ENTRY_SECTIONS: Final = tuple(section for section in SECTIONS if section not in _NOT_SHOWN)
"""Sections whose entries are records with a place of their own."""


@dataclass(frozen=True, slots=True)
class RuleUse:
    """One rule speaks of one fault, at one degree, in one measurement."""

    rule: EvidenceRule
    fault: Fault
    degree: str
    measurement: Measurement


@dataclass(frozen=True)
class Relations:
    """A knowledge base with everything that points from one entry to another.

    asked: the one entry whose bearings are asked for; empty where those of many are.
    """

    kb: Knowledge
    asked: str = ""

    @cached_property
    def survey(self) -> Survey:
        """The machines that the knowledge base can describe."""
        return Survey(self.kb)

    @cached_property
    def bearings(self) -> tuple[RuleUse, ...]:
        """Every rule with every fault, degree and measurement it speaks of, each once."""
        found: dict[tuple[str, str, str, str], RuleUse] = {}
        kb = replace(self.kb, rules=self._rules_about(*self.asked.split("/", 1))) if self.asked else self.kb
        for slot in Survey(kb).slots:
            for rule in slot.rules:
                key = (rule.id, slot.fault.id, slot.degree, slot.measurement.id)
                found.setdefault(key, RuleUse(rule, slot.fault, slot.degree, slot.measurement))
        return tuple(found.values())

    def _rules_about(self, section: str, id_: str) -> dict[str, EvidenceRule]:
        """The rules that may speak of an entry, by its id or its kinds."""
        if section == "rules":
            return {id_: self.kb.rules[id_]}
        if section not in ("faults", "measurements"):
            return {}
        kinds = set(getattr(self.kb, section)[id_].kinds)
        meant = ((rule, getattr(rule, section)) for rule in self.kb.rules.values())
        return {rule.id: rule for rule, by in meant if id_ in by.ids or not kinds.isdisjoint(by.kinds)}

    def bearing_on(self, key: str) -> tuple[RuleUse, ...]:
        """The bearings of a fault, a measurement or a rule; none for any other entry."""
        return self._bearing_on.get(key, ())

    @cached_property
    def _bearing_on(self) -> dict[str, tuple[RuleUse, ...]]:
        found: dict[str, list[RuleUse]] = {}
        for b in self.bearings:
            for key in (f"rules/{b.rule.id}", f"faults/{b.fault.id}", f"measurements/{b.measurement.id}"):
                found.setdefault(key, []).append(b)
        return {key: tuple(bearings) for key, bearings in found.items()}

    def machine_with(self, key: str) -> Model | None:
        """A machine that has this fault or measurement: the default one if it has it."""
        section, _, id_ = key.partition("/")
        for model in self.survey.machines:
            if id_ in (model.elements_of if section == "faults" else model.measurements):
                return model
        return None

    def names(self, key: str) -> tuple[tuple[str, str], ...]:
        """(field, key) of every entry that this one names."""
        section, _, id_ = key.partition("/")
        return tuple(dict.fromkeys(self._named(getattr(self.kb, section)[id_], "")))

    @cached_property
    def named_by(self) -> dict[str, tuple[tuple[str, str], ...]]:
        """Key -> (field, key) of every entry that names it."""
        found: dict[str, list[tuple[str, str]]] = {}
        for key in self.keys:
            for field, target in self.names(key):
                found.setdefault(target, []).append((field, key))
        return {key: tuple(dict.fromkeys(users)) for key, users in found.items()}

    @cached_property
    def keys(self) -> tuple[str, ...]:
        """The key of every entry that is a record."""
        return tuple(f"{section}/{id_}" for section in ENTRY_SECTIONS for id_ in getattr(self.kb, section))

    def keys_called(self, name: str) -> tuple[str, ...]:
        """The entries of that id, in the order of sections; ``section/id`` finds one."""
        return tuple(key for key in self.keys if name in (key, key.split("/", 1)[1]))

    def _named(self, value: Any, field: str) -> Iterator[tuple[str, str]]:
        if isinstance(value, Origin) or value is None:
            return
        if isinstance(value, Formula) or hasattr(value, "holds"):
            yield from self._read_names(value, field)
        elif isinstance(value, Selector):
            section = "measurements" if field in ("measurements", "pointless", "unsafe") else "faults"
            yield from ((field, f"{section}/{id_}") for id_ in value.ids)
        elif is_dataclass(value) and not isinstance(value, type):
            for inner in fields(value):
                yield from self._named(getattr(value, inner.name), inner.name)
        elif isinstance(value, Mapping):
            for inner in value.values():
                yield from self._named(inner, field)
        elif isinstance(value, tuple):
            for inner in value:
                yield from self._named(inner, field)
        elif field in TARGETS and isinstance(value, str):
            target = TARGETS[field]
            if value in getattr(self.kb, target):
                yield field, f"{target}/{value}"

    def _read_names(self, value: Formula | Condition, field: str) -> Iterator[tuple[str, str]]:
        """Machine facts and readings that a condition or a formula looks at."""
        for name in sorted(value.names()):
            for section in ("equipment", "measurements"):
                if name in getattr(self.kb, section):
                    yield field or "formula", f"{section}/{name}"


def case_keys(kb: Knowledge, written: CaseFile, rules: bool = True) -> frozenset[str]:
    """The entries that a case rests on: what was read, what must come out, the rules behind it.

    Args:
        kb: the knowledge base.
        written: the case.
        rules: with the rules behind what must come out; for these the case is worked through.
    """
    found = set()
    for entry in written.entries:
        if isinstance(entry, ReadingEntry):
            found.add(f"measurements/{entry.measurement}")
        elif isinstance(entry, RepairedEntry):
            found.add(f"repairs/{entry.repair}")
    expect = written.expect
    if expect is not None:
        found |= {f"faults/{name}" for name in (expect.first, *expect.chance) if name in kb.faults}
        found |= {f"repairs/{expect.repair}"} if expect.repair else set()
        case = replay(kb, written).case if rules and expect.first is not None else None
        if case is not None and expect.first is not None:
            found |= set(_rules_behind(case.assessment, expect.first))
    return frozenset(found)


def _rules_behind(assessment: Assessment, fault: str) -> Iterator[str]:
    model = assessment.model
    for piece in assessment.used:
        for element in model.elements_of.get(fault, ()):
            rule = model.rule_for(piece.evidence.name, element, piece.facts)
            if rule is not None:
                yield f"rules/{rule.id}"
