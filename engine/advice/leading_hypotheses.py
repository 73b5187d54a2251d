"""The likeliest hypotheses with the repairs they need, and what a reading is worth among them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product
from math import log2
from typing import Any

from crankpath.engine.advice.value_of_information import Costs, RepairCosts, column_sums, sum_x_log_x
from crankpath.engine.bayes.combining import Chances
from crankpath.engine.bayes.hypotheses import RepairState
from crankpath.engine.bayes.tables import Members, MeterTable
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.model import Answer
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.records import Measurement

_HELD = 0.998  # posterior mass that the worth of readings is worked out on; the verdict uses all of it
_MOST = 60

Rows = tuple[Chances, ...]
"""For each of the leading hypotheses, the chance of each outcome of a reading."""


@dataclass(frozen=True)
class LeadingHypotheses:
    """The hypotheses that matter, with the answers they need.

    places: in the list of all hypotheses. weights: their chances, summing to 1. rows: the
    row of each one's answer in the costs.
    """

    assessment: Assessment
    places: Sequence[int]
    weights: Sequence[float]
    rows: Sequence[int]
    repair_costs: RepairCosts

    @classmethod
    def of(cls, assessment: Assessment, costs: Costs) -> LeadingHypotheses:
        """The leading hypotheses of an assessment."""
        model, repaired = assessment.model, assessment.repair_states[-1]
        places, weights = assessment.posterior.leading(_HELD, _MOST)
        needed = replace(repaired, hidden=frozenset())  # what is hidden has to be repaired all the same
        left = [needed.left(model.hypotheses.members[place]) for place in places]
        numbers: dict[Answer, int] = {}
        rows = [numbers.setdefault(model.answer(members), len(numbers)) for members in left]
        return cls(assessment, places, weights, rows, RepairCosts(list(numbers), costs))

    def left(self, name: str) -> Sequence[Members]:
        """What is left of each hypothesis for a reading to see."""
        repaired = self.assessment.repaired_for(name, self.assessment.repair_epoch)
        if repaired not in self._left:
            members = self.assessment.model.hypotheses.members
            self._left[repaired] = [repaired.left(members[place]) for place in self.places]
        return self._left[repaired]

    @cached_property
    def _left(self) -> dict[RepairState, Sequence[Members]]:
        return {}

    def foremost(self, most: int) -> LeadingHypotheses:
        """So many of the likeliest of them, their chances summing to 1 again."""
        whole = sum(self.weights[:most])
        weights = [weight / whole for weight in self.weights[:most]]
        numbers: dict[int, int] = {}
        rows = [numbers.setdefault(row, len(numbers)) for row in self.rows[:most]]
        costs = self.repair_costs.of_answers(numbers)
        return LeadingHypotheses(self.assessment, self.places[:most], weights, rows, costs)

    def expected_repair_cost(self, weights: Sequence[float]) -> float:
        """Expected minutes wasted by trying repairs at once, for weights of these hypotheses."""
        return self.repair_costs.expected_repair_cost(self.sums(weights))

    @cached_property
    def cost_now(self) -> float:
        """Expected minutes wasted if repairs were tried now without any further reading."""
        return self.expected_repair_cost(self.weights)

    def sums(self, weights: Sequence[float]) -> list[float]:
        """Weights of the hypotheses added up by the answer that they need."""
        sums = [0.0] * len(self.repair_costs.answers)
        for row, weight in zip(self.rows, weights, strict=True):
            sums[row] += weight
        return sums

    def worth(self, chances: Rows) -> tuple[float, float]:
        """Bits about the right repair, and minutes saved, by a reading with these chances."""
        joint = JointDistribution(self, chances)
        return joint.bits, joint.gain

    def rows_of(self, name: str, of: Mapping[Members, Chances], unlisted: Chances) -> Rows:
        """What a reading shows for each of the leading sets of faults; for what is not listed, `unlisted`."""
        rows = list(map(of.__getitem__, self.left(name)))
        if 0 in self.places:
            rows[self.places.index(0)] = unlisted
        return tuple(rows)

    def outcomes(self, measurement: Measurement) -> Rows:
        """Chances of each outcome of a reading taken now, the fault there or as often as it is there."""
        assessment = self.assessment
        table = assessment.model.table(measurement.id, assessment.now.facts)
        there = assessment.symptom_probability(measurement)
        left = self.left(measurement.id)
        rows = list(map(table.outcomes_of.__getitem__, left))
        if there < 1.0:
            away = map(table.outcomes_away.__getitem__, left)
            rows = each_once(lambda *pair: _blended(there, *pair), zip(rows, away, strict=True))
        if 0 in self.places:  # not listed
            rows[self.places.index(0)] = table.outcomes_unlisted
        before = assessment.before(measurement.id, assessment.repair_epoch, True)
        if before is not None:
            again, kept = table.outcomes_of_repeat(before.read), before.repeat_probability
            members = assessment.model.hypotheses.members
            repaired = assessment.repaired_for(measurement.id, assessment.repair_epoch)
            kept_rows = each_once(lambda row: _blended(kept, again, row), zip(rows))
            for number, place in enumerate(self.places):
                if before.untouched(table, members[place], repaired):
                    rows[number] = kept_rows[number]
        return tuple(rows)

    def outcomes_of_retake(self, taken: PooledReading) -> Rows | None:
        """The same for a reading that has been taken: it agrees, or the first take was a slip.

        None for an observation: a second look sees what the first saw.
        """
        assessment = self.assessment
        table = assessment.model.table(taken.measurement.id, assessment.now.facts)
        if not isinstance(table, MeterTable):
            return None
        read = assessment.read_of(taken, table)
        again = 1.0 - assessment.model.kb.settings["slip_again"]
        return self.rows_of(taken.measurement.id, *table.outcomes_of_retake(read, again))

    def together(self, first: Rows, second: Rows) -> Rows:
        """The outcomes of two readings taken together."""
        pairs = zip(first, second, strict=True)
        return tuple(each_once(lambda one, other: tuple([a * b for a, b in product(one, other)]), pairs))


class JointDistribution:
    """The right repair together with the outcome of a reading, on the leading hypotheses.

    Hypotheses that need the same repairs and have the reading show the same are taken as one.

    Args:
        leading: the hypotheses.
        chances: of each outcome, for each of them; equal rows are the same object.
        weights: of the hypotheses, where they are not their own.
    """

    def __init__(
        self, leading: LeadingHypotheses, chances: Rows, weights: Sequence[float] | None = None
    ) -> None:
        self._leading = leading
        numbers = list(map(id, chances))
        self._rows = dict(zip(numbers, chances, strict=True))
        self._shares: list[dict[int, float]] = [{} for _ in leading.repair_costs.answers]
        for answer, row, weight in zip(leading.rows, numbers, weights or leading.weights, strict=True):
            own = self._shares[answer]
            own[row] = own[row] + weight if row in own else weight

    @cached_property
    def by_answer(self) -> list[Sequence[float]]:
        """For each answer its chance together with each outcome."""
        none = [0.0] * len(next(iter(self._rows.values())))
        return [self._mixed(own) if own else none for own in self._shares]

    def _mixed(self, shares: Mapping[int, float]) -> Sequence[float]:
        rows = self._rows
        return column_sums([[weight * chance for chance in rows[row]] for row, weight in shares.items()])

    @property
    def gain(self) -> float:
        """Minutes that the reading saves, its own not taken off."""
        if len(self._rows) == 1:
            return 0.0
        return self._leading.cost_now - self._leading.repair_costs.cost_after(self.by_answer)

    @cached_property
    def bits(self) -> float:
        """Mutual information of the right repair and the outcome: H(A) + H(O) - H(A, O)."""
        if len(self._rows) == 1:
            return 0.0
        inner, of_row = 0.0, self._of_rows()  # sum(x log2 x) of answer and outcome, less that of the answers
        for own, joint in zip(self._shares, self.by_answer, strict=True):
            if len(own) == 1:
                ((row, weight),) = own.items()
                inner += weight * of_row[row]
            elif own:
                inner += sum_x_log_x(joint) - sum_x_log_x((sum(own.values()),))
        return self._information(inner, self._weights())

    @cached_property
    def told(self) -> float:
        """Mutual information of the set of faults and the outcome; no less than `bits`."""
        weights, of_row = self._weights(), self._of_rows()
        return self._information(sum([weight * of_row[row] for row, weight in weights.items()]), weights)

    def _information(self, inner: float, weights: Mapping[int, float]) -> float:
        """Bits, from ``sum(x log2 x)`` of what is asked about with the outcome, less that of the former."""
        whole = sum(weights.values())
        return max(0.0, (inner - sum_x_log_x(self._mixed(weights))) / whole + log2(whole))

    def _weights(self) -> dict[int, float]:
        """Weight of each different row."""
        weights = dict.fromkeys(self._rows, 0.0)
        for own in self._shares:
            for row, weight in own.items():
                weights[row] += weight
        return weights

    def _of_rows(self) -> dict[int, float]:
        return {number: _row_sum(row) for number, row in self._rows.items()}


@lru_cache(maxsize=4096)
def _row_sum(row: Chances) -> float:
    """`sum_x_log_x` of a row of a table: many hypotheses and readings share it."""
    return sum_x_log_x(row)


def each_once(work: Callable[..., Chances], columns: Iterable[tuple[Any, ...]]) -> list[Chances]:
    """Work done on each of many tuples, once for those that hold the same objects."""
    known: dict[tuple[int, ...], Chances] = {}
    found = []
    for values in columns:
        key = tuple(map(id, values))
        if key not in known:
            known[key] = work(*values)
        found.append(known[key])
    return found


def _blended(chance: float, one: Chances, other: Chances) -> Chances:
    """``chance * one + (1 - chance) * other``."""
    rest = 1.0 - chance
    return tuple([chance * a + rest * b for a, b in zip(one, other, strict=True)])
