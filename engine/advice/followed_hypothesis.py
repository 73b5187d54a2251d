"""One set of faults followed through the evidence: what each crank, reading and sum gives it.

The factors are worked out here from the rules' own distributions, one hypothesis at a time; the
posterior is worked out for groups of hypotheses at once (`crankpath.engine.bayes.likelihood`),
so that the two check each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod
from operator import add
from typing import Any

from crankpath.engine.bayes.combining import Chances
from crankpath.engine.bayes.evidence import Evidence, Metered, Observed, Sum
from crankpath.engine.bayes.hypotheses import RepairState
from crankpath.engine.bayes.posterior import Crank
from crankpath.engine.bayes.tables import MeterTable
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.bands import healthy_in_force, limit_set_in_force, limits_in_force
from crankpath.engine.inference.expected import Expected, expected
from crankpath.engine.knowledge.records import EvidenceRule, LimitSet, Measurement, Origin


@dataclass(frozen=True, slots=True)
class WeighedReading:
    """One reading, or what came of a repair, as the set of faults and a sound circuit have it.

    value: chance of what was observed under the set, or density of a meter reading (per standard
    deviation of such a reading), the fault showing; slips left out. healthy_value: the same for a
    sound circuit. slip: chance that it is none of this circuit's; slipped: its density then. bands:
    values of an observation, with the weight (shares), the chance with the fault and the healthy
    chance of each; empty of a meter reading, of which expected and healthy say the same in its unit.
    rule: the rule behind it, or None where the healthy reading holds. limits: between the named
    bands, in the unit; limit_set: where they are written. odds: by what the reading changed the odds
    of the cause, all others being there. repaired: the fault was repaired by then. outcome: the setting
    that gives the chance that a repair comes out so, where all that was wrong was repaired or hidden.
    """

    measurement: str
    text: str
    symptom: bool
    repaired: bool
    outcome: str
    value: float
    healthy_value: float
    odds: float
    rule: EvidenceRule | None
    healthy_at: Origin
    slip: float = 0.0
    slipped: float = 0.0
    bands: tuple[str, ...] = ()
    shares: Chances = ()
    with_fault: Chances = ()
    healthy_chances: Chances = ()
    expected: Expected | None = None
    healthy: Expected | None = None
    limits: tuple[float, ...] = ()
    limit_set: LimitSet | None = None


@dataclass(frozen=True, slots=True)
class SumRemainder:
    """What the parts of a sum leave of the whole, weighed as a reading of its own.

    balance: id of the sum. read: in the unit. without: the part that is taken for a slip, or "" where
    none is. value: its density under the set, scaled to one of the whole. healthy_value: of a sound circuit.
    """

    balance: str
    read: float
    without: str
    value: float
    healthy_value: float


@dataclass(frozen=True, slots=True)
class Term:
    """A reading with its slips, or readings that add up.

    readings: one; or the whole and its parts. rests: of a sum. value, healthy_value: of all of it.
    """

    readings: tuple[WeighedReading, ...]
    value: float
    healthy_value: float
    rests: tuple[SumRemainder, ...] = ()


@dataclass(frozen=True, slots=True)
class Factor:
    """What everything read on one draw of the faults gives the set: one crank, or one reading by itself.

    terms: multiplied, the faults showing. value: P(all of it | set). away: chance that the fault shows
    in it, where the symptom was away or nobody could see it; None where it shows for certain. Then
    ``value = away * product of the terms + (1 - away) * product of their healthy values``.
    """

    terms: tuple[Term, ...]
    value: float
    healthy_value: float
    away: float | None = None

    @property
    def readings(self) -> tuple[WeighedReading, ...]:
        """All readings of it."""
        return tuple(reading for term in self.terms for reading in term.readings)


class FollowedHypothesis:
    """One hypothesis followed through the evidence: a fault with its degree, or nothing listed.

    Args:
        assessment: the case.
        fault: whose odds are told; None for *not listed*.
        element: the fault with its degree; None for *not listed*.
    """

    def __init__(self, assessment: Assessment, fault: str | None, element: int | None) -> None:
        self._assessment, self._fault, self._element = assessment, fault, element
        self._members = () if element is None else (element,)
        self._pieces = {id(piece.evidence): n for n, piece in enumerate(assessment.used)}

    def factor(self, crank: Crank) -> Factor:
        """What one crank gives the hypothesis."""
        terms = tuple(self._term(factor, crank) for factor in crank.factors)
        there, sound = prod(term.value for term in terms), prod(term.healthy_value for term in terms)
        if any(reading.outcome for term in terms for reading in term.readings):
            return Factor(terms, there, sound)
        if self._element is None or crank.symptom_probability == 1.0:
            return Factor(terms, there, sound)
        shows = crank.shows[self._element]
        away = crank.symptom_probability + (1.0 - crank.symptom_probability) * shows
        return Factor(terms, away * there + (1.0 - away) * sound, sound, away)

    def _term(self, factor: Evidence | Sum, crank: Crank) -> Term:
        if isinstance(factor, Sum):
            return self._sum(factor, crank.repaired)
        reading = self._reading(factor, crank.repaired)
        kept, odd = 1.0 - reading.slip, reading.slip * reading.slipped
        value = reading.value if reading.outcome else kept * reading.value + odd
        if factor.before is not None and not reading.outcome:
            before = factor.before
            if before.untouched(factor.table, self._members, crank.repaired):
                value = before.weigh(factor.read, value)
        return Term((reading,), value, kept * reading.healthy_value + odd)

    def _sum(self, factor: Sum, repaired: RepairState) -> Term:
        whole = self._reading(factor.whole, repaired)
        parts = [self._reading(part, repaired) for part in factor.parts]
        left_out = ["", *(part.measurement for part in parts)]
        rests = [self._rest(factor, number, name, repaired) for number, name in enumerate(left_out)]
        value, healthy = (
            _sum_value(whole, parts, [getattr(rest, of) for rest in rests], of)
            for of in ("value", "healthy_value")
        )
        return Term((whole, *parts), value, healthy, tuple(rests))

    def _rest(self, factor: Sum, number: int, left_out: str, repaired: RepairState) -> SumRemainder:
        rest, scale = factor.rests[number]
        value = scale * rest.read.weigh(self._row(rest, repaired))
        position = getattr(rest.read, "position", 0.0)
        read = rest.table.scale.value(position) if isinstance(rest.table, MeterTable) else position
        return SumRemainder(rest.name, read, left_out, value, scale * rest.read.weigh(rest.table.healthy))

    def _row(self, evidence: Evidence, repaired: RepairState) -> Any:
        """What the hypothesis has the reading show."""
        if self._element is None:
            return evidence.table.unlisted
        return evidence.table.row_of(repaired.left(self._members))

    def _setting(self, evidence: Evidence, repaired: RepairState) -> str:
        """The setting that says how often a repair comes out so, for a set that would not show any more."""
        if evidence.outcome is None or not self._members or not repaired.unseen.issuperset(self._members):
            return ""
        return "failed_repair" if repaired.empties(self._members) else "back_soon"

    def _reading(self, evidence: Evidence, repaired: RepairState) -> WeighedReading:
        number = self._pieces[id(evidence)]
        piece = self._assessment.used[number]
        model, taken = self._assessment.model, piece.taken
        measurement = model.measurements[evidence.name]
        left = repaired.left(self._members)
        outcome = self._setting(evidence, repaired)
        read, table, row = evidence.read, evidence.table, self._row(evidence, repaired)
        slipped = 0.0
        if isinstance(read, Metered):
            slipped = read.slipped
            value, healthy = (of.at(read.position, read.deviation) for of in (row, table.healthy))
        else:
            value, healthy = read.weigh(row), read.weigh(table.healthy)
        if outcome and evidence.outcome is not None:
            value = evidence.outcome.outcome_likelihood(self._members, repaired, value)
        numeric = measurement.numeric and taken is not None
        return WeighedReading(
            evidence.name,
            " and ".join(r.text for r in taken.readings) if taken else f"the repair: {piece.band}",
            evidence.symptom_probability > 0.0,
            self._element is not None and not left,
            outcome,
            value,
            healthy,
            _odds_factor(self._assessment, number, self._fault),
            model.rule_for(evidence.name, left[0], piece.facts) if left else None,
            healthy_in_force(measurement, piece.facts).origin,
            read.slip,
            slipped,
            **_rows(measurement, evidence, row),
            limits=limits_in_force(measurement, piece.facts) if numeric else (),
            limit_set=limit_set_in_force(measurement, piece.facts) if numeric else None,
        )


def _rows(measurement: Measurement, evidence: Evidence, row: Any) -> dict[str, Any]:
    """What is expected: chances of an observation's values, or a range in the unit."""
    table = evidence.table
    if isinstance(table, MeterTable):
        return {"expected": expected(row, table.scale), "healthy": expected(table.healthy, table.scale)}
    assert isinstance(evidence.read, Observed)
    shares = evidence.read.shares
    return {
        "bands": measurement.bands, "shares": shares, "with_fault": row, "healthy_chances": table.healthy
    }  # fmt: skip


def _sum_value(
    whole: WeighedReading, parts: Sequence[WeighedReading], rests: Sequence[float], of: str
) -> float:
    """Readings that add up: none of them a slip, or the whole, or one of the parts."""
    clean = [getattr(part, of) for part in parts]
    kept = [(1.0 - part.slip) * value for part, value in zip(parts, clean, strict=True)]
    odd = [part.slip * part.slipped for part in parts]
    total: float = prod(kept) * rests[0] * (1.0 - whole.slip)
    total += prod(map(add, kept, odd)) * whole.slip * whole.slipped
    for number, slipped in enumerate(odd):
        others = prod(kept[:number] + kept[number + 1 :])
        total += others * rests[number + 1] * (1.0 - whole.slip) * slipped
    return total


def _odds_factor(assessment: Assessment, number: int, fault: str | None) -> float:
    """Odds with the reading over odds with all the others (Good 1950)."""
    now, others = (
        p.unlisted if fault is None else p.fault_marginals().get(fault, 0.0)
        for p in (assessment.posterior, assessment.without[number])
    )
    return _odds(now) / _odds(others)


def _odds(chance: float) -> float:
    return max(chance, 1e-12) / max(1.0 - chance, 1e-12)
