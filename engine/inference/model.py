"""A knowledge base applied to one machine: which faults, readings and rules exist there.

Built once per machine; everything that does not depend on readings is worked out here.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Container, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, Final

from crankpath.engine.bayes.hypotheses import Element, Hypotheses, RepairState, list_hypotheses
from crankpath.engine.bayes.posterior import Posterior, Product
from crankpath.engine.bayes.tables import Effect, Members, Table
from crankpath.engine.inference.bands import band_of
from crankpath.engine.inference.table_making import TableMaker
from crankpath.engine.knowledge.condition import Condition, Facts, FactValue
from crankpath.engine.knowledge.records import Balance, EvidenceRule, Fault, Knowledge, Measurement
from crankpath.engine.machine.circuit import Circuit
from crankpath.engine.machine.facts import Deduction, deduce
from crankpath.engine.machine.rule_choice import RuleChoice

_SHARED: Final = 8  # models that are kept for further cases of the same machine
_LARGEST_SHARED: Final = 200  # faults; a larger model goes with its last case
_MOST_TABLES: Final = 1_000  # that a further case takes over; some 50 are made for one set of facts
_REMEMBERED: Final = 400  # deductions

Answer = frozenset[str]
"""The repairs that together cure; empty: something not listed."""


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
        return Circuit(self.kb, self.known)

    @cached_property
    def measurements(self) -> dict[str, Measurement]:
        """The readings that exist on this machine."""
        return {m.id: m for m in self.kb.measurements.values() if not self._absent(m.only)}

    @property
    def symptoms(self) -> tuple[Measurement, ...]:
        """The readings that are the complaint itself."""
        return self._tables.symptoms

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

    def repair_chances(self, posterior: Posterior, repaired: RepairState) -> dict[str, float]:
        """Chance that each repair is (still) needed; those without any are left out."""
        repairs = list(self.repaired_by)
        number = {repair: place for place, repair in enumerate(repairs)}
        groups = [number[repair] for repair in self.repair_of]
        chances = posterior.chances_of_groups(groups, len(repairs), repaired)
        return {repair: chance for repair, chance in zip(repairs, chances, strict=True) if chance > 0.0}

    def hidden_by(self, repair: str) -> frozenset[int]:
        """The elements that a repair hides for some days without taking them away."""
        hidden = self.kb.repairs[repair].hides
        return frozenset(index for fault in hidden for index in self.elements_of.get(fault, ()))

    @cached_property
    def hypotheses(self) -> Hypotheses:
        """The prior over sets of faults."""
        settings = self.kb.settings
        return list_hypotheses(self.elements, settings["unlisted"], int(settings["largest_set"]))

    def candidates(self, measurement: str) -> Mapping[int, tuple[EvidenceRule, ...]]:
        """Element -> the rules that speak of it there, most specific first, conditions not looked at."""
        return self._rules.of(measurement)

    def covered(self, measurement: str) -> frozenset[int]:
        """The elements whose place lies between the leads of a measurement."""
        return frozenset(index for index in range(len(self.elements)) if self._covers(measurement, index))

    @cached_property
    def _covers(self) -> Callable[[str, int], bool]:
        """Does the place of an element lie between the leads of a measurement? Each worked out once."""
        circuit, faults, measurements, elements = self.circuit, self.faults, self.measurements, self.elements

        @cache
        def covers(measurement: str, index: int) -> bool:
            element = elements[index]
            return circuit.covers(measurements[measurement], faults[element.fault], element.degree)

        return covers

    def rule_for(self, measurement: str, element: int, facts: Facts) -> EvidenceRule | None:
        """The rule in force for a fault (with its degree) and a measurement, or None."""
        effect = self.table(measurement, facts).effects.get(element)
        return None if effect is None else self.kb.rules[effect.rule]

    def may_be_narrowed(self, rule: str, fault: str) -> bool:
        """Could a copy of a rule about one fault stand beside it, in the place of no other rule?"""
        return self._rules.may_be_narrowed(self.kb.rules[rule], fault)

    def effects(self, measurement: str, facts: Facts, elements: Container[int]) -> Mapping[int, Effect[Any]]:
        """What some elements make of a reading; cheaper than the whole table."""
        return self._tables.effects(self.measurements[measurement], facts, elements)

    def healthy(self, measurement: str, facts: Facts) -> tuple[int, Any]:
        """Which healthy entry holds, and what a sound circuit reads: a density, or chances of values."""
        return self._tables.healthy(self.measurements[measurement], facts)

    def most(self, measurement: str, facts: Facts) -> float:
        """The largest that a meter can read, in the unit."""
        return self._tables.most(self.measurements[measurement], facts)

    @cached_property
    def repair_of(self) -> tuple[str, ...]:
        """For each element the repair that takes it away."""
        return tuple(self.faults[element.fault].repair for element in self.elements)

    def answer(self, members: Members) -> Answer:
        """The repairs that a set of faults needs."""
        return frozenset([self.repair_of[member] for member in members])

    def deduce(self, given: Mapping[str, FactValue], silent: Collection[str] = ()) -> Deduction:
        """What follows from equipment and readings, some rules left out; each worked out once."""
        key = (frozenset(given.items()), frozenset(silent))
        known = self._deductions.get(key)
        if known is None:
            if len(self._deductions) >= _REMEMBERED:
                self._deductions.clear()
            known = self._deductions[key] = deduce(self.kb, given, self._band, silent)
        return known

    def _band(self, name: str, value: FactValue, facts: Facts) -> str:
        return band_of(self.kb.measurements[name], value, facts)

    @cached_property
    def _deductions(self) -> dict[object, Deduction]:
        return {}

    @cached_property
    def latest(self) -> Product:
        """What the last posterior was multiplied from; a case with one more reading starts there."""
        return Product()

    @cached_property
    def vectors(self) -> dict[object, Sequence[float]]:
        """Likelihoods already worked out, by the identity of their evidence."""
        return {}

    @cached_property
    def shows_when_symptom_absent(self) -> tuple[float, ...]:
        """Per element, the chance that it shows on a crank that went well."""
        return tuple(self.faults[element.fault].away for element in self.elements)

    @cached_property
    def _rules(self) -> RuleChoice:
        """Machines of the same parts share it, whatever else is known of them."""
        parts = tuple((element.fault, element.degree) for element in self.elements)
        key = (id(self.kb), *self.faults, *self.measurements, *parts)
        key += tuple(segment.id for segment in self.circuit.segments())
        known = _choices.pop(key, None)
        if known is None:
            rules = tuple(self.kb.rules.values())
            known = RuleChoice(rules, self.faults, self.measurements, self.elements, self._covers)
        _keep(_choices, key, known, self.kb)
        return known

    @cached_property
    def _tables(self) -> TableMaker:
        return TableMaker(self.kb.settings, self._rules, self.elements, self.shows_when_symptom_absent)

    def table(self, measurement: str, facts: Facts) -> Table[Any]:
        """P(reading | H) for a measurement under these facts."""
        return self._tables.table(measurement, facts)

    @property
    def tables_made(self) -> int:
        """How many tables have been made for this machine."""
        return self._tables.made

    @cached_property
    def balances(self) -> tuple[Balance, ...]:
        """Sums and orders that hold on this machine."""
        return tuple(
            balance
            for balance in self.kb.balances.values()
            if balance.only is None or balance.only.holds(self.known) is not False
        )


def model_of(kb: Knowledge, equipment: Mapping[str, FactValue]) -> Model:
    """The model of a machine; cases of the same machine share it, and what they work out."""
    key = (id(kb), frozenset(equipment.items()))
    model = _models.pop(key, None)
    if model is None or model.tables_made > _MOST_TABLES:
        model = Model(kb, equipment)
    _keep(_models, key, model, kb)
    return model


def _keep(kept: dict[Any, Any], key: object, value: object, kb: Knowledge) -> None:
    """Keep the last few; each holds its knowledge, whose id is nobody else's meanwhile."""
    if len(kb.faults) <= _LARGEST_SHARED:
        kept[key] = value
        if len(kept) > _SHARED:
            del kept[next(iter(kept))]


_models: dict[tuple[int, frozenset[tuple[str, FactValue]]], Model] = {}
_choices: dict[tuple[object, ...], RuleChoice] = {}


def forget_models() -> None:
    """The next case of any machine has a model of its own, as the first one had."""
    _models.clear()
    _choices.clear()
