"""Rules against physics: what the rules expect beside what solved machines show.

For every fault with its degree, machines are drawn with that fault alone; every reading is
taken on each, and its band (under the facts that the complaint gives) is held against the
chances the knowledge base gives it. The rules are opinions; this is what answers back.
What is told of the past (every time or sometimes) is left out: how often a fault comes and
goes is put into a drawn machine, not worked out by it.

How a machine fails tells how bad the fault is, so a rule may be right on average and wrong
for every machine: too low for those that click, too high for those that still turn. The same
comparison is therefore also made for each complaint by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import log2
from random import Random
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import ReadingError
from crankpath.engine.inference.assessment import HISTORY_KIND
from crankpath.engine.inference.bands import band_shares
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.engine.physics.tables import PhysicsError
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.solved.machine import Machine

_LEAST_SEEN = 1e-3
_LEAST_MACHINES: Final = 10  # of one complaint; fewer show chance, not a rule


@dataclass(frozen=True, slots=True)
class Comparison:
    """One fault with its degree against one measurement.

    seen: share of each band over the machines drawn. expected: mean chance the knowledge
    base gave it there. bits: expected surprise beyond the unavoidable,
    ``sum(seen * log2(seen / expected))``. share: of how many machines this rule spoke.
    rule: the rule that spoke most often; None where the healthy chances hold. complaint: what
    all these machines did in start; None if they were not told apart by it.
    """

    fault: str
    degree: str
    measurement: str
    machines: int
    bands: tuple[str, ...]
    seen: tuple[float, ...]
    expected: tuple[float, ...]
    bits: float
    rule: str | None
    origin: Origin
    complaint: str | None = None


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
    for fault in faults or kb.faults:
        for degree in kb.faults[fault].degrees:
            yield _compare_one(kb, fault, degree, draws, seed, parameters, by_complaint)


def worst_first(comparisons: Iterable[Comparison]) -> list[Comparison]:
    """The disagreements, those that mislead most first."""
    return sorted(comparisons, key=lambda c: -c.bits)


@dataclass
class _Sums:
    seen: list[float]
    expected: list[float]
    machines: int
    rules: dict[str | None, int]


_Group = tuple[str, str | None]
"""A measurement, and the complaint if machines are told apart by it."""


def _compare_one(
    kb: Knowledge, fault: str, degree: str, draws: int, seed: int, parameters: str, by_complaint: bool
) -> tuple[Comparison, ...]:
    sums: dict[_Group, _Sums] = {}
    rng = Random(f"{seed}/{fault}/{degree}/{parameters}")
    for _ in range(draws):
        try:
            machine = draw_machine(rng, kb, parameters, {fault: degree})
        except PhysicsError:
            continue
        _add(kb, machine, fault, degree, rng, sums, by_complaint)
    return tuple(
        _comparison(kb, fault, degree, group, s)
        for group, s in sums.items()
        if group[1] is None or s.machines >= _LEAST_MACHINES
    )


def _add(
    kb: Knowledge,
    machine: Machine,
    fault: str,
    degree: str,
    rng: Random,
    sums: dict[_Group, _Sums],
    by_complaint: bool,
) -> None:
    case = Case(kb, machine.equipment)
    behaviour = machine.read("crank_behaviour", rng, True)
    plain = case.assessment
    if behaviour is not None:
        case.record("crank_behaviour", behaviour)
    model = plain.model
    element = next((i for i, e in enumerate(model.elements) if (e.fault, e.degree) == (fault, degree)), None)
    if element is None:
        return
    for measurement in model.measurements.values():
        value = None if HISTORY_KIND in measurement.kinds else machine.read(measurement.id, rng, True)
        if value is None:
            continue
        symptom = measurement in model.symptoms
        facts = (plain if symptom else case.assessment).now.facts
        try:
            shares = band_shares(measurement, case.read(measurement.id, value).value, facts)
        except ReadingError:
            continue  # what no meter shows is asked again, not weighed
        table = model.table(measurement.id, facts)
        expected = table.chances(table.row_of((element,)))
        rule = model.rule_for(measurement.id, element, facts)
        count = len(measurement.bands)
        apart = None if symptom or not by_complaint else f"{behaviour}"
        total = sums.setdefault((measurement.id, apart), _Sums([0.0] * count, [0.0] * count, 0, {}))
        total.seen = [a + b for a, b in zip(total.seen, shares, strict=True)]
        total.expected = [a + b for a, b in zip(total.expected, expected, strict=True)]
        total.machines += 1
        name = None if rule is None else rule.id
        total.rules[name] = total.rules.get(name, 0) + 1


def _comparison(kb: Knowledge, fault: str, degree: str, group: _Group, sums: _Sums) -> Comparison:
    name, complaint = group
    measurement = kb.measurements[name]
    seen = tuple(value / sums.machines for value in sums.seen)
    expected = tuple(value / sums.machines for value in sums.expected)
    bits = sum(s * log2(s / e) for s, e in zip(seen, expected, strict=True) if s > _LEAST_SEEN)
    rule = max(sums.rules, key=lambda known: sums.rules[known])
    origin = kb.rules[rule].origin if rule is not None else measurement.origin
    return Comparison(
        fault,
        degree,
        name,
        sums.machines,
        measurement.bands,
        seen,
        expected,
        max(bits, 0.0),
        rule,
        origin,
        complaint,
    )
