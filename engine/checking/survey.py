"""A knowledge base looked at from all sides: the machines, slots and values that checks try.

Everything is a pure function of the knowledge base, worked out once and shared by the checks.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final

from crankpath.engine.bayes.combining import Chances
from crankpath.engine.bayes.densities import Density
from crankpath.engine.checking.domain import Domain
from crankpath.engine.errors import KnowledgeError
from crankpath.engine.inference.bands import healthy_in_force
from crankpath.engine.inference.model import Model
from crankpath.engine.inference.ranges import density
from crankpath.engine.knowledge.chance_words import ChanceError, spread
from crankpath.engine.knowledge.condition import Condition, Facts, FactValue
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import (
    EvidenceRule,
    Fault,
    HealthyReading,
    Knowledge,
    Measurement,
    Range,
)
from crankpath.engine.machine.equipment import complete
from crankpath.engine.machine.facts import deduce

_MOST_MACHINES: Final = 40
_NO_FACTS: Final = Facts({}, {})
_STEPS: Final = (-4.0, -2.5, -1.5, -0.8, -0.3, 0.3, 0.8, 1.5, 2.5, 4.0)

Row = Density | Chances
"""What is shown: a density on the meter's own scale, or a chance for each value of an observation."""


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
    """A knowledge base and what can be worked out from it alone.

    file: only what is written in this file of the latest folder is looked at; empty for all of it.
    """

    kb: Knowledge
    file: str = ""

    @cached_property
    def own(self) -> frozenset[str]:
        """The entries ("section/id") that can be corrected: all, or those of the folders laid over a base;
        nothing that is borrowed.

        What is wrong with the base alone is told when the base is checked.
        """
        layers = self.kb.layers
        own = set(self.kb.folders[1:] or self.kb.folders)
        written = self.kb.written
        return frozenset(
            key
            for key, folder in layers.items()
            if folder in own and self.file in ("", written[key].key.file)
        )

    @cached_property
    def _changes_machines(self) -> bool:
        """True if an own entry changes what machines there are, and so what any other entry means on them."""
        kb = self.kb
        others = {n for id_, rule in kb.facts.items() if f"facts/{id_}" not in self.own for n in rule.then}
        for key in self.own:
            section, _, id_ = key.partition("/")
            shaped = section in ("equipment", "facts", "scale") and key in kb.replaced
            derives = section == "facts" and not others.isdisjoint(kb.facts[id_].then)
            if shaped or derives or section in ("segments", "points"):
                return True
        return False

    def concerns(self, section: str, id_: str) -> bool:
        """True if an own entry can change what is found in this one."""
        return self._changes_machines or f"{section}/{id_}" in self.own

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
        conditions, chosen = self._only, [self.default]
        beside = [0] * len(conditions)  # per condition, those seen to hold with it, as bits

        def gained(now: int) -> int:
            return sum((now & ~beside[i]).bit_count() for i in range(len(conditions)) if now >> i & 1)

        def take(facts: Facts) -> None:
            now = self._here(facts, range(len(conditions)))
            for i in range(len(conditions)):
                beside[i] |= now if now >> i & 1 else 0

        take(self.default.known)
        left = set(range(len(conditions)))
        while left and len(chosen) < _MOST_MACHINES:
            rarest = min(left, key=lambda i: (beside[i].bit_count(), i))
            facts = self._machine_with(conditions[rarest], gained)
            if facts is None or not gained(self._here(facts, range(len(conditions)))):
                left.discard(rarest)
                continue
            take(facts)
            chosen.append(Model(self.kb, complete(self.kb, facts.values)))
        return tuple(chosen)

    def _here(self, facts: Facts, numbers: Iterable[int]) -> int:
        """Which of these conditions can hold, as bits."""
        return sum(1 << i for i in numbers if self._only[i].holds(facts) is not False)

    @cached_property
    def _naming(self) -> dict[str, list[int]]:
        """Fact -> the conditions that name it."""
        found: dict[str, list[int]] = {}
        for number, condition in enumerate(self._only):
            for name in condition.names() & set(self.kb.equipment):
                found.setdefault(name, []).append(number)
        return found

    @cached_property
    def whole_machines(self) -> tuple[Model, ...]:
        """Those of `machines` on which no part of a shop hangs in the air; all where there are none.

        A shop writes for the machines that it has; on others its parts may lead nowhere.
        """
        if len(self.kb.folders) < 2:
            return self.machines
        hanging = [
            any(n == 1 and f"points/{point}" in self.own for point, n in
                Counter(end for segment in model.circuit.segments() for end in segment.ends).items())
            for model in self.machines
        ]  # fmt: skip
        return tuple(m for m, hangs in zip(self.machines, hanging, strict=True) if not hangs) or self.machines

    def _machine_with(self, condition: Condition, gained: Callable[[int], int]) -> Facts | None:
        """A machine that the condition holds on, its other facts chosen one by one for what they add."""
        names = sorted(self._naming)
        own = condition.names() & set(names)
        found = next((f.values for f in self.domain.grid(own) or () if condition.holds(f) is True), None)
        if found is None:
            return None
        facts: dict[str, FactValue] = {**self.default.known.values, **found}
        here = self._here(Facts(facts, {}), range(len(self._only)))
        for name in [name for name in names if name not in own] * 2:
            choices = [{**facts, name: v} for v, _ in self.domain.values(name) if v is not None]
            without = {n: v for n, v in facts.items() if n != name}
            choices += [without] if self.kb.equipment[name].default is None else []
            moved = self._naming[name]
            others = here & ~sum(1 << i for i in moved)
            bits = [here, *(others | self._here(Facts(choice, {}), moved) for choice in choices)]
            here, facts = max(zip(bits, [facts, *choices], strict=True), key=lambda pair: gained(pair[0]))
        return Facts(facts, {})

    @cached_property
    def _only(self) -> tuple[Condition, ...]:
        found = [
            *(segment.only for segment in self.kb.segments.values()),
            *(fault.only for fault in self.kb.faults.values()),
            *(measurement.only for measurement in self.kb.measurements.values()),
        ]
        return tuple(dict.fromkeys(only for only in found if only is not None))

    def together(self, *conditions: Condition) -> bool:
        """True if some machine meets all of the conditions, or there are too many to try."""
        grid = self.domain.told_apart(conditions)
        return grid is None or any(all(c.holds(facts) is not False for c in conditions) for facts in grid)

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """Every pair of fault and measurement on any machine, for each list of rules it can have.

        Without those that no own entry concerns.
        """
        found: dict[tuple[object, ...], Slot] = {}
        every = self._changes_machines or len(self.own) == len(self.kb.layers)
        for model in self.machines:
            for name, measurement in model.measurements.items():
                for index, rules in model.candidates(name).items():
                    element = model.elements[index]
                    if not (every or self._concerned(element.fault, name, rules)):
                        continue
                    key = (element.fault, element.degree, name, *map(id, rules))
                    if key not in found:
                        fault = self.kb.faults[element.fault]
                        found[key] = Slot(fault, element.degree, measurement, rules)
        return tuple(found.values())

    def _concerned(self, fault: str, measurement: str, rules: tuple[EvidenceRule, ...]) -> bool:
        return (
            f"faults/{fault}" in self.own
            or f"measurements/{measurement}" in self.own
            or any(f"rules/{rule.id}" in self.own for rule in rules)
        )

    def active(self, slot: Slot) -> Iterator[tuple[Facts, tuple[EvidenceRule, ...]]] | None:
        """Each combination of facts that the slot's rules look at, with the rules that hold then.

        None if there are too many combinations to try.
        """
        key = slot.rules[0].id if len(slot.rules) == 1 else "\n".join(rule.id for rule in slot.rules)
        only = [c for c in (slot.fault.only, slot.measurement.only) if c is not None]
        cached = self._active.get((key, *only))
        if cached is None:
            conditions = [c for r in slot.rules for c in (r.given, r.unless) if c is not None]
            grid = self.domain.told_apart((*conditions, *only))
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

    def row(self, rule: EvidenceRule, measurement: Measurement, facts: Facts = _NO_FACTS) -> Row | None:
        """What a rule makes a measurement show; None if it does not fit, or a fact it needs is not known."""
        return self._row(rule.reads, measurement, facts)

    def healthy_row(
        self, healthy: HealthyReading, measurement: Measurement, facts: Facts = _NO_FACTS
    ) -> Row | None:
        """What one healthy entry makes it show; None as in `row`."""
        return self._row(healthy.reads, measurement, facts)

    def _row(
        self, reads: Range | Mapping[str, float] | Chances, measurement: Measurement, facts: Facts
    ) -> Row | None:
        if isinstance(reads, tuple):
            return reads
        key: tuple[object, ...] = (id(reads), measurement.id)
        if isinstance(reads, Range):
            facts = self.with_defaults(facts)
            key = (*key, *(facts.values.get(name) for name in sorted(formula_names(measurement, reads))))
        if key not in self._rows:
            self._rows[key] = self._made(reads, measurement, facts)
        return self._rows[key]

    def _made(self, reads: Range | Mapping[str, float], measurement: Measurement, facts: Facts) -> Row | None:
        if isinstance(reads, Range) is not measurement.numeric:
            return None
        if isinstance(reads, Range):
            sound = None
            if reads.sound > 0.0:
                found = self.healthy_row(healthy_in_force(measurement, facts), measurement, facts)
                sound = found if isinstance(found, Density) else None
            return density(reads, measurement, facts, sound)
        try:
            return spread(reads, measurement.bands)
        except ChanceError:
            return None

    def with_defaults(self, facts: Facts) -> Facts:
        """The same facts on a machine of which nothing else was told, and what follows from them."""
        key = frozenset(facts.values.items())
        if key not in self._filled_up:
            given = {**self.default.known.values, **facts.values}
            self._filled_up[key] = {**self.derived(given), **given}
        return Facts(self._filled_up[key], facts.bands)

    @cached_property
    def _filled_up(self) -> dict[frozenset[tuple[str, FactValue]], Mapping[str, FactValue]]:
        return {}

    def derived(self, given: Mapping[str, FactValue]) -> Mapping[str, FactValue]:
        """What the fact rules make of a machine's equipment alone; nothing where they never settle."""
        equipment = {name: value for name, value in given.items() if name in self.kb.equipment}
        key = tuple(sorted(equipment.items()))
        if key not in self._derived:
            try:
                found: Mapping[str, FactValue] = deduce(self.kb, equipment, lambda *_: None).facts.values
            except KnowledgeError:
                found = {}
            self._derived[key] = found
        return self._derived[key]

    @cached_property
    def _derived(self) -> dict[tuple[tuple[str, FactValue], ...], Mapping[str, FactValue]]:
        return {}

    @cached_property
    def _rows(self) -> dict[tuple[object, ...], Row | None]:
        return {}


def formula_names(measurement: Measurement, *ranges: Range) -> frozenset[str]:
    """The facts that some ranges of a measurement depend on."""
    wholes = [whole.reads for whole in measurement.whole if any(one.whole for one in ranges)]
    quantities = [q for one in (*ranges, *wholes) for q in (one.low, one.high)]
    if any(isinstance(q, float) for q in quantities):
        quantities.append(measurement.scale)
    return frozenset(name for q in quantities if isinstance(q, Formula) for name in q.names())


def holds(rule: EvidenceRule, facts: Facts) -> bool:
    """True if the rule's ``given`` is known to hold and its ``unless`` is not."""
    given = rule.given is None or rule.given.holds(facts) is True
    return given and not (rule.unless is not None and rule.unless.holds(facts) is True)


def apart(one: Row, other: Row) -> float:
    """Total variation of two rows: 0 where they say the same, 1 where they exclude each other.

    Of two densities it is taken between positions around all their parts, so it is never too large.
    """
    if isinstance(one, Density) and isinstance(other, Density):
        if one == other:
            return 0.0
        parts = {(middle, spread) for row in (one, other) for _, middle, spread, _ in row.parts}
        cuts = sorted({middle + step * spread for middle, spread in parts for step in _STEPS})
        above = [cut for cut in cuts if cut > 0.0]
        one, other = (_between(row.all_below(above)) for row in (one, other))
    assert not isinstance(one, Density)
    assert not isinstance(other, Density)
    return sum(abs(x - y) for x, y in zip(one, other, strict=True)) / 2


def _between(below: list[float]) -> Chances:
    return tuple(high - low for low, high in pairwise([0.0, *below, 1.0]))
