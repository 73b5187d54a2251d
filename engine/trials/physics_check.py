"""Rules against physics: what the rules expect beside what solved machines show.

For every fault with its degree, machines are drawn with that fault alone; every reading is
taken on each and held against what the knowledge base expects there (under the facts that the
complaint gives): of a meter reading its 5, 50 and 95 % and the shares of nothing and of the whole
battery, of an observation the chance of each value. The rules are opinions; this is what answers back.
What is told of the past (every time or sometimes) is left out: how often a fault comes and
goes is put into a drawn machine, not worked out by it. What a shop added that the solved machine
does not have is passed over (`lacking`).

How a machine fails tells how bad the fault is, so a rule may be right on average and wrong
for every machine: too low for those that click, too high for those that still turn. The same
comparison is therefore also made for each complaint by itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from random import Random
from typing import Any, Final

from crankpath.engine.bayes.tables import MeterTable
from crankpath.engine.cases.case import Case
from crankpath.engine.errors import ReadingError
from crankpath.engine.inference.expected import Expected
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import HISTORY_KIND, Knowledge, Measurement, Origin
from crankpath.engine.physics.tables import PhysicsError, load_parameters
from crankpath.engine.solved.drawn.draw import draw_machine, must_fit
from crankpath.engine.solved.drawn.severity import degrees_of
from crankpath.engine.solved.machine import Machine
from crankpath.engine.solved.meter import MEASUREMENTS
from crankpath.engine.trials.physics_tally import MeterTally, ValueTally

_LEAST_MACHINES: Final = 10  # of one complaint; fewer show chance, not a rule


@dataclass(frozen=True, slots=True)
class Comparison:
    """One fault with its degree against one measurement.

    machines: how many were read. bits: how much a reading misleads on average, beyond what cannot be
    avoided. rule: the rule that spoke most often; None where the healthy reading holds. complaint: what
    all these machines did in start; None if they were not told apart by it. Of an observation, bands:
    its values; seen: share of each; expected: mean chance the knowledge base gave it. Of a meter
    reading, read: 5, 50 and 95 % of what was read, and how often nothing, the whole battery or what a
    sound circuit shows; rule_reads: the same as the knowledge base expects it, on a middling machine of
    those drawn; None of an observation.
    """

    fault: str
    degree: str
    measurement: str
    machines: int
    bits: float
    rule: str | None
    origin: Origin
    complaint: str | None = None
    bands: tuple[str, ...] = ()
    seen: tuple[float, ...] = ()
    expected: tuple[float, ...] = ()
    read: Expected | None = None
    rule_reads: Expected | None = None


def lacking(kb: Knowledge, parameters: str = "first") -> tuple[str, ...]:
    """What the solved machine does not have and so is not compared: entries, "section/id"."""
    figures = load_parameters(parameters)
    found = [f"measurements/{name}" for name in kb.measurements if name not in MEASUREMENTS]
    for fault in kb.faults.values():
        if fault.id not in figures["faults"]:
            found.append(f"faults/{fault.id}")
            continue
        known = degrees_of(fault.id, figures)
        found += [f"faults/{fault.id} ({degree})" for degree in fault.degrees if degree not in known]
    return tuple(found)


def compare(
    kb: Knowledge,
    draws: int,
    seed: int,
    parameters: str = "first",
    faults: Iterable[str] | None = None,
    by_complaint: bool = False,
) -> Iterator[tuple[Comparison, ...]]:
    """Compare fault by fault (one batch for each degree), for a progress bar to follow.

    Args:
        kb: whose rules are compared.
        draws: machines per fault and degree.
        seed: the same seed draws the same machines.
        parameters: parameter set of the solved machine.
        faults: only these; all by default.
        by_complaint: compare machines that do different things in start by themselves.
    """
    must_fit(kb)
    missing = set(lacking(kb, parameters))
    for fault in faults or kb.faults:
        for degree in kb.faults[fault].degrees:
            if missing.isdisjoint((f"faults/{fault}", f"faults/{fault} ({degree})")):
                yield _Drawn(kb, fault, degree, by_complaint).compared(draws, seed, parameters)


def worst_first(comparisons: Iterable[Comparison]) -> list[Comparison]:
    """The disagreements, those that mislead most first."""
    return sorted(comparisons, key=lambda c: -c.bits)


_Group = tuple[str, str | None]
"""A measurement, and the complaint if machines are told apart by it."""


@dataclass
class _Drawn:
    """One fault with its degree on drawn machines, and what they read."""

    kb: Knowledge
    fault: str
    degree: str
    by_complaint: bool
    tallies: dict[_Group, MeterTally | ValueTally] = field(default_factory=dict)
    rules: dict[_Group, Counter[str | None]] = field(default_factory=dict)

    def compared(self, draws: int, seed: int, parameters: str) -> tuple[Comparison, ...]:
        """Draw the machines, read them, and say what came out."""
        rng = Random(f"{seed}/{self.fault}/{self.degree}/{parameters}")
        for _ in range(draws):
            try:
                machine = draw_machine(rng, self.kb, parameters, {self.fault: self.degree})
            except PhysicsError:
                continue
            self._add(machine, rng)
        return tuple(
            self._comparison(group, tally)
            for group, tally in self.tallies.items()
            if group[1] is None or tally.count >= _LEAST_MACHINES
        )

    def _add(self, machine: Machine, rng: Random) -> None:
        case = Case(self.kb, machine.equipment)
        plain = case.assessment
        behaviour = None
        if "crank_behaviour" in plain.model.measurements:
            behaviour = machine.read("crank_behaviour", rng, True)
        if behaviour is not None:
            case.record("crank_behaviour", behaviour)
        model = plain.model
        elements = enumerate(model.elements)
        element = next((i for i, e in elements if (e.fault, e.degree) == (self.fault, self.degree)), None)
        if element is None:
            return
        for measurement in model.measurements.values():
            if HISTORY_KIND in measurement.kinds or measurement.id not in MEASUREMENTS:
                continue
            value = machine.read(measurement.id, rng, True)
            if value is None:
                continue
            symptom = measurement in model.symptoms
            facts = (plain if symptom else case.assessment).now.facts
            try:
                read = case.read(measurement.id, value).value
            except ReadingError:
                continue  # what no meter shows is asked again, not weighed
            apart = None if symptom or not self.by_complaint else f"{behaviour}"
            self._count(model, measurement, element, facts, read, (measurement.id, apart), rng)

    def _count(
        self, model: Model, measurement: Measurement, element: int, facts: Facts, value: Any,
        group: _Group, rng: Random,
    ) -> None:  # fmt: skip
        table = model.table(measurement.id, facts)
        row = table.row_of((element,))
        if isinstance(table, MeterTable):
            tally = self.tallies.setdefault(group, MeterTally())
            assert isinstance(tally, MeterTally)
            tally.add(row, table.scale, abs(value), rng)
        else:
            counted = self.tallies.setdefault(group, ValueTally(measurement.bands))
            assert isinstance(counted, ValueTally)
            counted.add(row, value)
        rule = model.rule_for(measurement.id, element, facts)
        self.rules.setdefault(group, Counter())[None if rule is None else rule.id] += 1

    def _comparison(self, group: _Group, tally: MeterTally | ValueTally) -> Comparison:
        name, complaint = group
        rule = self.rules[group].most_common(1)[0][0]
        origin = self.kb.measurements[name].origin if rule is None else self.kb.rules[rule].origin
        said = (self.fault, self.degree, name, tally.count, tally.bits(), rule, origin, complaint)
        if isinstance(tally, MeterTally):
            return Comparison(*said, read=tally.read(), rule_reads=tally.expected())
        return Comparison(*said, bands=tally.values, seen=tally.seen(), expected=tally.expected())
