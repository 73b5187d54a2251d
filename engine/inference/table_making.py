"""What each reading shows on one machine under some facts: the tables of P(reading | faults)."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from crankpath.engine.bayes.densities import NINE_IN_TEN, Component, Density, ReadingDensity, mixture
from crankpath.engine.bayes.hypotheses import Element
from crankpath.engine.bayes.tables import Effect, MeterTable, ObservationTable, Table
from crankpath.engine.errors import CaseError, KnowledgeError
from crankpath.engine.inference.bands import limits_in_force
from crankpath.engine.inference.ranges import density, number, scale_of, whole_battery
from crankpath.engine.knowledge.chance_words import ChanceError, spread
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import SYMPTOM_KIND, EvidenceRule, Measurement, Range, Settings
from crankpath.engine.machine.rule_choice import RuleChoice


@dataclass(frozen=True, eq=False)
class TableMaker:
    """Makes the tables of one machine, each once.

    Attributes:
        settings: the numbers of the knowledge base.
        rules: the rules that bear on this machine.
        elements: its faults, degree by degree.
        shown_away: per element, the chance that it shows on a crank that went well.
    """

    settings: Settings
    rules: RuleChoice
    elements: Sequence[Element]
    shown_away: Sequence[float]

    @property
    def measurements(self) -> Mapping[str, Measurement]:
        """The readings that exist on this machine."""
        return self.rules.measurements

    @cached_property
    def symptoms(self) -> tuple[Measurement, ...]:
        """The readings that are the complaint itself."""
        return tuple(m for m in self.measurements.values() if SYMPTOM_KIND in m.kinds)

    @property
    def made(self) -> int:
        """How many tables have been made."""
        return len(self._tables)

    @cached_property
    def _tables(self) -> dict[tuple[object, ...], Table[Any]]:
        return {}

    def table(self, measurement: str, facts: Facts) -> Table[Any]:
        """P(reading | H) for a measurement under these facts."""
        names = self._depends[measurement]
        key = (measurement, *map(facts.values.get, names), *map(facts.bands.get, names))
        known = self._of_facts.get(key)
        if known is None:
            known = self._of_facts[key] = self._of_answers(measurement, facts)
        return known

    @cached_property
    def _of_facts(self) -> dict[tuple[object, ...], Table[Any]]:
        return {}

    @cached_property
    def _depends(self) -> dict[str, tuple[str, ...]]:
        """measurement -> every fact that its table depends on."""
        complaint = {symptom.id for symptom in self.symptoms}
        return {
            name: tuple(complaint.union(self.rules.quantities[name], *(c.names() for c in conditions)))
            for name, conditions in self.rules.conditions.items()
        }

    def _of_answers(self, measurement: str, facts: Facts) -> Table[Any]:
        """The same; facts that answer every condition alike have the same table."""
        answers = tuple(condition.holds(facts) for condition in self.rules.conditions[measurement])
        used = tuple(facts.values.get(name) for name in self.rules.quantities[measurement])
        signature = (measurement, answers, used, *self._complaint(measurement, facts))
        known = self._tables.get(signature)
        if known is None:
            known = self._tables[signature] = self._make_table(self.measurements[measurement], facts)
        return known

    def _complaint(self, measurement: str, facts: Facts) -> tuple[object, ...]:
        """What the complaint is known to be: slips, and what is not listed, read as such machines do."""
        if SYMPTOM_KIND in self.measurements[measurement].kinds:
            return ()
        return tuple(facts.values.get(symptom.id) for symptom in self.symptoms)

    def _make_table(self, measurement: Measurement, facts: Facts) -> Table[Any]:
        make = self._meter_table if measurement.numeric else self._observation_table
        return make(measurement, facts)

    def _observation_table(self, measurement: Measurement, facts: Facts) -> Table[Any]:
        _, healthy = self.healthy(measurement, facts)
        effects = self.effects(measurement, facts)
        unlisted = self._unlisted(measurement, healthy, effects, facts)
        return ObservationTable(healthy, effects, unlisted, self._shows(effects), measurement.combination)

    def _meter_table(self, measurement: Measurement, facts: Facts) -> Table[Any]:
        settings, scale = self.settings, scale_of(measurement)
        _, sound = self.healthy(measurement, facts)
        effects = self.effects(measurement, facts)
        most = scale.position(self.most(measurement, facts))
        widest = Component(1.0, sound.middle, 0.5 * most / NINE_IN_TEN)
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

    def effects(
        self, measurement: Measurement, facts: Facts, elements: Container[int] | None = None
    ) -> dict[int, Effect[Any]]:
        """What elements, all or some, make of a reading; those that change nothing are left out."""
        effects: dict[int, Effect[Any]] = {}
        sound = self.healthy(measurement, facts)[1] if measurement.numeric else None
        made = self._rows_made(measurement, facts, sound)
        for index, rules in self.rules.in_force(measurement.id, facts, elements):
            for rule in rules:
                if rule.id not in made:
                    made[rule.id] = _row(rule, measurement, facts, sound)
                if made[rule.id] is not None:
                    effects[index] = Effect(made[rule.id], rule.masks, rule.id)
                    break
        return effects

    def _rows_made(self, measurement: Measurement, facts: Facts, sound: Density | None) -> dict[str, Any]:
        """Rule -> what it says is read, as far as worked out, under all facts that come to the same."""
        key: tuple[object, ...] = (measurement.id,)
        if sound is not None:
            used = map(facts.values.get, self.rules.quantities[measurement.id])
            key += (sound, whole_battery(measurement, facts), *used)
        return self._rows.setdefault(key, {})

    @cached_property
    def _rows(self) -> dict[tuple[object, ...], dict[str, Any]]:
        return {}

    def healthy(self, measurement: Measurement, facts: Facts) -> tuple[int, Any]:
        """Which healthy entry holds, the first whose facts are known, and what a sound circuit reads."""
        for place, healthy in enumerate(measurement.healthy):
            if healthy.given is None or healthy.given.holds(facts) is True:
                reads = healthy.reads
                row = density(reads, measurement, facts) if isinstance(reads, Range) else reads
                if row is not None:
                    return place, row
        said = f"{measurement.label} does not say what it reads on a healthy circuit of this machine."
        raise CaseError(said)

    def most(self, measurement: Measurement, facts: Facts) -> float:
        """The largest that can be read, in the unit."""
        found = number(measurement.most, facts)
        return found if found is not None else max(limits_in_force(measurement, facts)) * 2.0

    def _shop(self, sound: Density, effects: Mapping[int, Effect[ReadingDensity]], facts: Facts) -> Density:
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
        complaint = tuple(facts.values.get(symptom.id) for symptom in self.symptoms)
        if complaint not in self._weights:
            self._weights[complaint] = self._weigh_complaint(facts)
        return self._weights[complaint]

    @cached_property
    def _weights(self) -> dict[tuple[object, ...], tuple[float, ...]]:
        return {}

    def _weigh_complaint(self, facts: Facts) -> tuple[float, ...]:
        weights = [element.chance for element in self.elements]
        for symptom in self.symptoms:
            value = str(facts.values.get(symptom.id))
            value = symptom.finer.get(value, value)
            if value in symptom.bands:
                table, place = self.table(symptom.id, facts), symptom.bands.index(value)
                weights = [w * table.row_of((index,))[place] for index, w in enumerate(weights)]
        whole = sum(weights)
        return tuple(weight / whole for weight in weights) if whole > 0.0 else tuple(weights)

    def _shows(self, effects: Iterable[int]) -> dict[int, float]:
        return {index: self.shown_away[index] for index in effects}

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
        settings, count = self.settings, len(healthy)
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


def _row(
    rule: EvidenceRule, measurement: Measurement, facts: Facts, sound: Density | None
) -> Density | tuple[float, ...] | None:
    """What a rule says is read; None where a fact that it needs is unknown."""
    if not measurement.numeric:
        return _chances(rule, measurement)
    return density(_range(rule, measurement), measurement, facts, sound)


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
