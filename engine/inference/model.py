"""A knowledge base applied to one machine: which faults, readings and rules exist there.

Built once per machine; everything that does not depend on readings is worked out here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.inference.bands import healthy_chances
from crankpath.engine.inference.hypotheses import Element, Hypotheses, list_hypotheses
from crankpath.engine.inference.posterior import Likelihood
from crankpath.engine.inference.tables import Effect, Members, Table
from crankpath.engine.knowledge.chance_words import ChanceError, spread
from crankpath.engine.knowledge.condition import Condition, Facts, FactValue
from crankpath.engine.knowledge.records import EvidenceRule, Fault, Knowledge, Measurement, Selector
from crankpath.engine.machine.circuit import Circuit

Answer = frozenset[str]
"""The repairs that together cure; empty: something not listed."""

SYMPTOM_KIND = "symptom"
"""Kind of the measurement that is the complaint itself."""


@dataclass(frozen=True)
class Model:
    """One machine under one knowledge base.

    Attributes:
        kb: the knowledge base.
        equipment: what is known of the machine, by name.
    """

    kb: Knowledge
    equipment: Mapping[str, FactValue]

    @cached_property
    def known(self) -> Facts:
        """The equipment as facts."""
        return Facts(dict(self.equipment), {})

    @cached_property
    def circuit(self) -> Circuit:
        """The circuit as this machine has it."""
        return Circuit(self.kb.segments.values(), self.known)

    @cached_property
    def measurements(self) -> dict[str, Measurement]:
        """The readings that exist on this machine."""
        return {m.id: m for m in self.kb.measurements.values() if not self._absent(m.only)}

    @cached_property
    def symptoms(self) -> tuple[Measurement, ...]:
        """The readings that are the complaint itself."""
        return tuple(m for m in self.measurements.values() if SYMPTOM_KIND in m.kinds)

    @cached_property
    def faults(self) -> dict[str, Fault]:
        """The faults that this machine can have."""
        return {f.id: f for f in self.kb.faults.values() if not self._absent(f.only)}

    def _absent(self, only: Condition | None) -> bool:
        return only is not None and only.holds(self.known) is False

    def chance_of(self, fault: Fault) -> float:
        """p_f: the share in force for this machine, times the settings' ``together``."""
        for share in fault.shares:
            if share.given is None or share.given.holds(self.known) is True:
                return share.chance * self.kb.settings["co_occurrence_scale"]
        return 0.0

    @cached_property
    def elements(self) -> tuple[Element, ...]:
        """Every fault that can be here, degree by degree; a degree whose place is missing is left out."""
        found = []
        for fault in self.faults.values():
            here = {d: part for d, part in fault.degrees.items() if self.circuit.has_place(fault, d)}
            chance, whole = self.chance_of(fault), sum(here.values())
            if chance > 0.0 and whole > 0.0:
                found += [Element(fault.id, degree, chance * part / whole) for degree, part in here.items()]
        return tuple(found)

    @cached_property
    def elements_of(self) -> dict[str, tuple[int, ...]]:
        """Fault id -> indexes of its elements."""
        found: dict[str, list[int]] = {}
        for index, element in enumerate(self.elements):
            found.setdefault(element.fault, []).append(index)
        return {fault: tuple(indexes) for fault, indexes in found.items()}

    @cached_property
    def repaired_by(self) -> dict[str, frozenset[int]]:
        """Repair id -> the elements that it takes away."""
        found: dict[str, set[int]] = {repair: set() for repair in self.kb.repairs}
        for index, element in enumerate(self.elements):
            found[self.faults[element.fault].repair].add(index)
        return {repair: frozenset(indexes) for repair, indexes in found.items()}

    @cached_property
    def hypotheses(self) -> Hypotheses:
        """The prior over sets of faults."""
        settings = self.kb.settings
        return list_hypotheses(self.elements, settings["unlisted"], int(settings["largest_set"]))

    @cached_property
    def _rules(self) -> dict[str, dict[int, tuple[EvidenceRule, ...]]]:
        """measurement -> element -> rules that can apply, most specific first."""
        ranked: dict[str, dict[int, list[tuple[tuple[int, int], EvidenceRule]]]] = {
            name: {} for name in self.measurements
        }
        faults, measurements = _Kinds(self.faults.values()), _Kinds(self.measurements.values())
        for rule in self.kb.rules.values():
            meant = [self.faults[name] for name in faults.chosen(rule.faults)]
            for name in measurements.chosen(rule.measurements):
                for fault in meant:
                    rank = specificity(rule, fault, self.measurements[name])
                    for index in self._bearing(rule, fault, name):
                        ranked[name].setdefault(index, []).append((rank, rule))
        return {
            name: {
                index: tuple(rule for _, rule in sorted(rules, key=lambda pair: pair[0], reverse=True))
                for index, rules in sorted(by_element.items())
            }
            for name, by_element in ranked.items()
        }

    def candidates(self, measurement: str) -> Mapping[int, tuple[EvidenceRule, ...]]:
        """Element -> the rules that speak of it there, most specific first, conditions not looked at."""
        return self._rules[measurement]

    def _bearing(self, rule: EvidenceRule, fault: Fault, measurement: str) -> list[int]:
        """The elements of the fault that the rule speaks of, by degree and by place."""
        return [
            index
            for index in self.elements_of.get(fault.id, ())
            if (not rule.degrees or self.elements[index].degree in rule.degrees)
            and (rule.where == "any" or self._covers(measurement, index) is (rule.where == "across"))
        ]

    def _covers(self, measurement: str, index: int) -> bool:
        key = (measurement, index)
        if key not in self._covering:
            element = self.elements[index]
            fault = self.faults[element.fault]
            self._covering[key] = self.circuit.covers(self.measurements[measurement], fault, element.degree)
        return self._covering[key]

    @cached_property
    def _covering(self) -> dict[tuple[str, int], bool]:
        return {}

    def rule_for(self, measurement: str, element: int, facts: Facts) -> EvidenceRule | None:
        """The rule in force for a fault (with its degree) and a measurement, or None."""
        for rule in self._rules[measurement].get(element, ()):
            if rule.given is not None and rule.given.holds(facts) is not True:
                continue
            if rule.unless is not None and rule.unless.holds(facts) is True:
                continue
            return rule
        return None

    @cached_property
    def _conditions(self) -> dict[str, tuple[Condition, ...]]:
        found: dict[str, tuple[Condition, ...]] = {}
        for measurement in self.measurements.values():
            seen: dict[int, Condition] = {}
            for rules in self._rules[measurement.id].values():
                for rule in rules:
                    for condition in (rule.given, rule.unless):
                        if condition is not None:
                            seen[id(condition)] = condition
            for reading in measurement.healthy:
                if reading.given is not None:
                    seen[id(reading.given)] = reading.given
            found[measurement.id] = tuple(seen.values())
        return found

    @cached_property
    def repair_of(self) -> tuple[str, ...]:
        """For each element the repair that takes it away."""
        return tuple(self.faults[element.fault].repair for element in self.elements)

    def answer(self, members: Members) -> Answer:
        """The repairs that a set of faults needs."""
        return frozenset([self.repair_of[member] for member in members])

    @cached_property
    def vectors(self) -> dict[object, Likelihood]:
        """Likelihoods already worked out, by the identity of their evidence."""
        return {}

    @cached_property
    def _tables(self) -> dict[tuple[object, ...], tuple[Table, object]]:
        return {}

    def table(self, measurement: str, facts: Facts) -> tuple[Table, object]:
        """P(band | H) for a measurement under these facts, and a key of its elements."""
        answers = tuple(condition.holds(facts) for condition in self._conditions[measurement])
        signature = (measurement, answers)
        known = self._tables.get(signature)
        if known is None:
            table = self._make_table(self.measurements[measurement], facts)
            known = self._tables[signature] = (table, frozenset(table.effects))
        return known

    def _make_table(self, measurement: Measurement, facts: Facts) -> Table:
        healthy = healthy_chances(measurement, facts)
        effects: dict[int, Effect] = {}
        for index in self._rules[measurement.id]:
            rule = self.rule_for(measurement.id, index, facts)
            if rule is not None:
                effects[index] = Effect(_reads(rule, measurement), rule.masks, rule.id)
        away = {index: self.faults[self.elements[index].fault].away for index in effects}
        return Table(healthy, effects, measurement.push, self._unlisted(measurement, healthy), away)

    def _unlisted(self, measurement: Measurement, healthy: tuple[float, ...]) -> tuple[float, ...]:
        """What a fault that is not listed may read: anything, blended with the healthy reading.

        The complaint itself is certain to be there, so of it only the faulty values are blended.
        """
        count = len(healthy)
        if SYMPTOM_KIND in measurement.kinds:
            least = min(healthy)
            return (least, *((1.0 - least) / (count - 1) for _ in range(count - 1)))
        blend = self.kb.settings["unlisted_spread"]
        return tuple((1.0 - blend) * chance + blend / count for chance in healthy)


def _reads(rule: EvidenceRule, measurement: Measurement) -> tuple[float, ...]:
    """Chance of each band under a rule.

    Raises:
        KnowledgeError: only this machine's circuit has the rule speak of a measurement that
            lacks one of its bands.
    """
    try:
        return spread(rule.reads, measurement.bands)
    except ChanceError as slip:
        said = f"{rule.origin} rule {rule.id} does not fit {measurement.id}, which it speaks of here: {slip}"
        raise KnowledgeError(said) from None


class _Kinds:
    """Entries by id and by kind, for selectors."""

    def __init__(self, entries: Iterable[Fault | Measurement]) -> None:
        self._ids: set[str] = set()
        self._of_kind: dict[str, list[str]] = {}
        for entry in entries:
            self._ids.add(entry.id)
            for kind in entry.kinds:
                self._of_kind.setdefault(kind, []).append(entry.id)

    def chosen(self, selector: Selector) -> list[str]:
        """The ids a selector means, each once."""
        named = [name for name in selector.ids if name in self._ids]
        return list(
            dict.fromkeys([*named, *(n for kind in selector.kinds for n in self._of_kind.get(kind, ()))])
        )


def specificity(rule: EvidenceRule, fault: Fault, measurement: Measurement) -> tuple[int, int]:
    """How narrowly a rule speaks of a pair; the narrower one wins, a tie is a slip.

    Fault by id counts 4, a named degree 2, measurement by id 1; then conditions named.
    """
    named = (
        4 * (fault.id in rule.faults.ids) + 2 * bool(rule.degrees) + (measurement.id in rule.measurements.ids)
    )
    conditions = sum(len(c.names()) for c in (rule.given, rule.unless) if c is not None)
    return named, conditions
