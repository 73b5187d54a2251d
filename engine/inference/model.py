"""A knowledge base applied to one machine: which faults, readings and rules exist there.

Built once per machine; everything that does not depend on readings is worked out here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from crankpath.engine.errors import CaseError, KnowledgeError
from crankpath.engine.inference.bands import healthy_in_force, limits_in_force
from crankpath.engine.inference.densities import NINE_IN_TEN, Density, Part, Reads, mixture
from crankpath.engine.inference.hypotheses import Element, Hypotheses, list_hypotheses
from crankpath.engine.inference.ranges import density, number, scale_of
from crankpath.engine.inference.tables import Effect, Members, MeterTable, ObservationTable, Table
from crankpath.engine.knowledge.chance_words import ChanceError, spread
from crankpath.engine.knowledge.condition import Condition, Facts, FactValue
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import EvidenceRule, Fault, Knowledge, Measurement, Range, Selector
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

    def covered(self, measurement: str) -> frozenset[int]:
        """The elements whose place lies between the leads of a measurement."""
        return frozenset(index for index in range(len(self.elements)) if self._covers(measurement, index))

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
        effect = self.table(measurement, facts).effects.get(element)
        return None if effect is None else self.kb.rules[effect.rule]

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
            for reading in (*measurement.healthy, *measurement.whole):
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
    def vectors(self) -> dict[object, list[float]]:
        """Likelihoods already worked out, by the identity of their evidence."""
        return {}

    @cached_property
    def _tables(self) -> dict[tuple[object, ...], Table[Any]]:
        return {}

    def table(self, measurement: str, facts: Facts) -> Table[Any]:
        """P(reading | H) for a measurement under these facts."""
        answers = tuple(condition.holds(facts) for condition in self._conditions[measurement])
        used = tuple(facts.values.get(name) for name in self._quantities[measurement])
        signature = (measurement, answers, used, *self._complaint(measurement, facts))
        known = self._tables.get(signature)
        if known is None:
            known = self._tables[signature] = self._make_table(self.measurements[measurement], facts)
        return known

    @cached_property
    def _quantities(self) -> dict[str, tuple[str, ...]]:
        """measurement -> the facts that its quantities depend on: its ranges and its limits."""
        found = {}
        for name, measurement in self.measurements.items():
            rules = {id(rule): rule for rules in self._rules[name].values() for rule in rules}
            ranges = [h.reads for h in measurement.healthy] + [r.reads for r in rules.values()]
            ranges += [whole.reads for whole in measurement.whole]
            written = [q for r in ranges if isinstance(r, Range) for q in (r.low, r.high)]
            written += [q for limits in measurement.limits for q in limits.at] + [measurement.scale]
            names = {name for q in written if isinstance(q, Formula) for name in q.names()}
            names |= {n for limits in measurement.limits if limits.given for n in limits.given.names()}
            found[name] = tuple(sorted(names))
        return found

    def _complaint(self, measurement: str, facts: Facts) -> tuple[object, ...]:
        """What the complaint is known to be: slips, and what is not listed, read as such machines do."""
        if SYMPTOM_KIND in self.measurements[measurement].kinds:
            return ()
        return tuple(facts.values.get(symptom.id) for symptom in self.symptoms)

    def _make_table(self, measurement: Measurement, facts: Facts) -> Table[Any]:
        make = self._meter_table if measurement.numeric else self._observation_table
        return make(measurement, facts)

    def _observation_table(self, measurement: Measurement, facts: Facts) -> Table[Any]:
        healthy = healthy_in_force(measurement, facts).reads
        assert not isinstance(healthy, Range)
        effects = {
            index: Effect(_chances(rule, measurement), rule.masks, rule.id)
            for index, rule in self._in_force(measurement.id, facts)
        }
        unlisted = self._unlisted(measurement, healthy, effects, facts)
        return ObservationTable(healthy, effects, unlisted, self._shows(effects), measurement.combination)

    def _meter_table(self, measurement: Measurement, facts: Facts) -> Table[Any]:
        settings, scale = self.kb.settings, scale_of(measurement)
        sound = self._sound(measurement, facts)
        effects: dict[int, Effect[Reads]] = {}
        for index in self._rules[measurement.id]:
            for rule in self._rules_in_force(measurement.id, index, facts):
                read = density(_range(rule, measurement), measurement, facts, sound)
                if read is not None:
                    effects[index] = Effect(read, rule.masks, rule.id)
                    break
        widest = Part(1.0, sound.middle, 0.5 * scale.position(self._most(measurement, facts)) / NINE_IN_TEN)
        slipped = mixture(
            [
                (1.0 - settings["slip_anything"], self._shop(sound, effects, facts)),
                (settings["slip_anything"], Density((widest,))),
            ]
        )
        blend = settings["unlisted_spread"]
        unlisted = mixture([(1.0 - blend, sound), (blend, slipped)])
        return MeterTable(
            sound, effects, unlisted, self._shows(effects),
            scale, measurement.combination, settings["slip"], slipped, limits_in_force(measurement, facts),
        )  # fmt: skip

    def _sound(self, measurement: Measurement, facts: Facts) -> Density:
        """What a sound circuit reads: the first entry that holds and whose facts are known."""
        for healthy in measurement.healthy:
            if healthy.given is None or healthy.given.holds(facts) is True:
                assert isinstance(healthy.reads, Range)
                found = density(healthy.reads, measurement, facts)
                if found is not None:
                    return found
        said = f"{measurement.label} does not say what it reads on a healthy circuit of this machine."
        raise CaseError(said)

    def _most(self, measurement: Measurement, facts: Facts) -> float:
        found = number(measurement.most, facts)
        return found if found is not None else max(limits_in_force(measurement, facts)) * 2.0

    def _shop(self, sound: Density, effects: Mapping[int, Effect[Reads]], facts: Facts) -> Density:
        """What such a reading is on all machines of a shop with this complaint: what a slip shows."""
        likely = self._complaint_weights(facts)
        weighted: dict[int, tuple[float, Density]] = {}
        for index, effect in effects.items():
            assert isinstance(effect.row, Density)
            before = weighted.get(id(effect.row), (0.0, effect.row))[0]
            weighted[id(effect.row)] = (before + likely[index], effect.row)
        rest = max(1.0 - sum(weight for weight, _ in weighted.values()), 0.0)
        return mixture([(rest, sound), *weighted.values()])

    def _complaint_weights(self, facts: Facts) -> tuple[float, ...]:
        """Per element, its share of the machines with this complaint."""
        weights = [element.chance for element in self.elements]
        for symptom in self.symptoms:
            value = str(facts.values.get(symptom.id))
            value = symptom.finer.get(value, value)
            if value in symptom.bands:
                table, place = self.table(symptom.id, facts), symptom.bands.index(value)
                weights = [w * table.row_of((index,))[place] for index, w in enumerate(weights)]
        whole = sum(weights)
        return tuple(weight / whole for weight in weights) if whole > 0.0 else tuple(weights)

    def _in_force(self, measurement: str, facts: Facts) -> Iterator[tuple[int, EvidenceRule]]:
        for index in self._rules[measurement]:
            for rule in self._rules_in_force(measurement, index, facts):
                yield index, rule
                break

    def _rules_in_force(self, measurement: str, element: int, facts: Facts) -> Iterator[EvidenceRule]:
        """The rules whose conditions hold for an element, most specific first."""
        for rule in self._rules[measurement].get(element, ()):
            if rule.given is not None and rule.given.holds(facts) is not True:
                continue
            if rule.unless is not None and rule.unless.holds(facts) is True:
                continue
            yield rule

    def _shows(self, effects: Iterable[int]) -> dict[int, float]:
        return {index: self.shows_when_symptom_absent[index] for index in effects}

    @cached_property
    def shows_when_symptom_absent(self) -> tuple[float, ...]:
        """Per element, the chance that it shows on a crank that went well."""
        return tuple(self.faults[element.fault].away for element in self.elements)

    def _unlisted(
        self,
        measurement: Measurement,
        healthy: tuple[float, ...],
        effects: Mapping[int, Effect[tuple[float, ...]]],
        facts: Facts,
    ) -> tuple[float, ...]:
        """What a fault that is not listed shows: what a sound circuit does, or the shop's other machines.

        The complaint itself is certain to be there, so of it only the faulty values are blended.
        """
        settings, count = self.kb.settings, len(healthy)
        complaint = SYMPTOM_KIND in measurement.kinds
        weights = [e.chance for e in self.elements] if complaint else self._complaint_weights(facts)
        shop = [0.0] * count
        for index, weight in enumerate(weights):
            row = effects[index].row if index in effects else healthy
            shop = [t + weight * c for t, c in zip(shop, row, strict=True)]
        whole, anything = sum(shop), settings["slip_anything"]
        others = [(1.0 - anything) * t / whole + anything / count for t in shop]
        if complaint:
            least = min(healthy)
            return (least, *((1.0 - least) * o / sum(others[1:]) for o in others[1:]))
        blend = settings["unlisted_spread"]
        return tuple((1.0 - blend) * h + blend * o for h, o in zip(healthy, others, strict=True))


def _range(rule: EvidenceRule, measurement: Measurement) -> Range:
    if isinstance(rule.reads, Range):
        return rule.reads
    said = f"{rule.origin} rule {rule.id} gives chances, but {measurement.id} is read in {measurement.unit}"
    raise KnowledgeError(f"{said}; write 'reads: {{between: [low, high]}}'.")


def _chances(rule: EvidenceRule, measurement: Measurement) -> tuple[float, ...]:
    """Chance of each value of an observation under a rule.

    Raises:
        KnowledgeError: only this machine's circuit has the rule speak of an observation that
            lacks one of its values.
    """
    try:
        if isinstance(rule.reads, Range):
            raise ChanceError("it states a range, and this is an observation")
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
