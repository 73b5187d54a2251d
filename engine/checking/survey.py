"""A knowledge base looked at from all sides: the machines, slots and values that checks try.

Everything is a pure function of the knowledge base, worked out once and shared by the checks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Final

from crankpath.engine.checking.domain import Domain
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.chance_words import ChanceError, spread
from crankpath.engine.knowledge.condition import Condition, Facts
from crankpath.engine.knowledge.records import EvidenceRule, Fault, Knowledge, Measurement
from crankpath.engine.machine.equipment import complete

_MOST_MACHINES: Final = 40


@dataclass(frozen=True)
class Slot:
    """One fault with its degree and one measurement, with the rules that speak of the pair.

    rules: most specific first, as the engine tries them; their conditions decide.
    """

    fault: Fault
    degree: str
    measurement: Measurement
    rules: tuple[EvidenceRule, ...]


@dataclass(frozen=True)
class Survey:
    """A knowledge base and what can be worked out from it alone."""

    kb: Knowledge

    @cached_property
    def domain(self) -> Domain:
        """What each name of a condition can be."""
        return Domain(self.kb)

    @cached_property
    def default(self) -> Model:
        """The machine of which nothing was told."""
        return Model(self.kb, complete(self.kb, {}))

    @cached_property
    def machines(self) -> tuple[Model, ...]:
        """Machines on which, together, every part that can stand beside another does so.

        The default machine first. Only facts that decide which segments, faults and
        measurements exist are varied.
        """
        chosen, seen = [self.default], set(self._together(self.default.known))
        conditions = self._only
        grid = self.domain.grid({name for c in conditions for name in c.names()} & set(self.kb.equipment))
        wanted = [(facts, self._together(facts)) for facts in grid or ()]
        while wanted and len(chosen) < _MOST_MACHINES:
            facts, gained = max(wanted, key=lambda pair: len(pair[1] - seen))
            if not gained - seen:
                break
            seen |= gained
            chosen.append(Model(self.kb, complete(self.kb, facts.values)))
        return tuple(chosen)

    @cached_property
    def _only(self) -> tuple[Condition, ...]:
        found = [
            *(segment.only for segment in self.kb.segments.values()),
            *(fault.only for fault in self.kb.faults.values()),
            *(measurement.only for measurement in self.kb.measurements.values()),
        ]
        return tuple(dict.fromkeys(only for only in found if only is not None))

    def _together(self, facts: Facts) -> frozenset[tuple[int, ...]]:
        here = [i for i, condition in enumerate(self._only) if condition.holds(facts) is not False]
        return frozenset([*((i,) for i in here), *combinations(here, 2), *combinations(here, 3)])

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """Every pair of fault and measurement on any machine, for each list of rules it can have."""
        found: dict[tuple[str, str, str, tuple[str, ...]], Slot] = {}
        for model in self.machines:
            for name, measurement in model.measurements.items():
                for index, rules in model.candidates(name).items():
                    element = model.elements[index]
                    key = (element.fault, element.degree, name, tuple(rule.id for rule in rules))
                    if key not in found:
                        fault = self.kb.faults[element.fault]
                        found[key] = Slot(fault, element.degree, measurement, rules)
        return tuple(found.values())

    def active(self, slot: Slot) -> Iterator[tuple[Facts, tuple[EvidenceRule, ...]]] | None:
        """Each combination of facts that the slot's rules look at, with the rules that hold then.

        None if there are too many combinations to try.
        """
        key = slot.rules[0].id if len(slot.rules) == 1 else "\n".join(rule.id for rule in slot.rules)
        only = [c for c in (slot.fault.only, slot.measurement.only) if c is not None]
        cached = self._active.get((key, *only))
        if cached is None:
            conditions = [c for r in slot.rules for c in (r.given, r.unless) if c is not None]
            names = {name for c in (*conditions, *only) for name in c.names()}
            grid = self.domain.grid(names)
            if grid is None:
                return None
            answers: dict[tuple[str, ...], tuple[Facts, tuple[EvidenceRule, ...]]] = {}
            for facts in grid:
                if all(c.holds(facts) is not False for c in only):
                    rules = tuple(rule for rule in slot.rules if holds(rule, facts))
                    answers.setdefault(tuple(rule.id for rule in rules), (facts, rules))
            cached = self._active[(key, *only)] = tuple(answers.values())
        return iter(cached)

    @cached_property
    def _active(self) -> dict[tuple[object, ...], tuple[tuple[Facts, tuple[EvidenceRule, ...]], ...]]:
        return {}

    def row(self, rule: EvidenceRule, measurement: Measurement) -> tuple[float, ...] | None:
        """What a rule makes a measurement read, band by band; None if it does not fit its bands."""
        key = (rule.id, measurement.bands)
        if key not in self._rows:
            try:
                self._rows[key] = spread(rule.reads, measurement.bands)
            except ChanceError:
                self._rows[key] = None
        return self._rows[key]

    @cached_property
    def _rows(self) -> dict[tuple[str, tuple[str, ...]], tuple[float, ...] | None]:
        return {}


def holds(rule: EvidenceRule, facts: Facts) -> bool:
    """True if the rule's ``given`` is known to hold and its ``unless`` is not."""
    given = rule.given is None or rule.given.holds(facts) is True
    return given and not (rule.unless is not None and rule.unless.holds(facts) is True)


def total_variation(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    """Half the sum of absolute differences: 0 for equal chances, 1 for chances that exclude each other."""
    return sum(abs(x - y) for x, y in zip(a, b, strict=True)) / 2
