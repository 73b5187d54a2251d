"""The likeliest hypotheses with the repairs they need, and what a reading is worth among them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from operator import mul

from crankpath.engine.advice.value_of_information import Costs, RepairCosts, mutual_information
from crankpath.engine.bayes.evidence import Metered
from crankpath.engine.bayes.tables import Chances, Members
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.model import Answer
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.records import Measurement

_HELD = 0.998  # posterior mass that the worth of readings is worked out on; the verdict uses all of it
_MOST = 60

Rows = tuple[Chances, ...]
"""For each of the leading hypotheses, the chance of each outcome of a reading."""


@dataclass(frozen=True)
class Leading:
    """The hypotheses that matter, with the answers they need.

    places: in the list of all hypotheses. weights: their chances, summing to 1. rows: the
    row of each one's answer in the costs. left: what is still wrong of each.
    """

    assessment: Assessment
    places: Sequence[int]
    weights: Sequence[float]
    rows: Sequence[int]
    repair_costs: RepairCosts
    left: Sequence[Members]

    @classmethod
    def of(cls, assessment: Assessment, costs: Costs) -> Leading:
        """The leading hypotheses of an assessment."""
        model, repaired = assessment.model, assessment.repair_states[-1]
        places, weights = assessment.posterior.leading(_HELD, _MOST)
        left = [repaired.left(model.hypotheses.members[place]) for place in places]
        numbers: dict[Answer, int] = {}
        rows = [numbers.setdefault(model.answer(members), len(numbers)) for members in left]
        return cls(assessment, places, weights, rows, RepairCosts(list(numbers), costs), left)

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

    def joint(self, chances: Rows, weights: Sequence[float]) -> list[list[float]]:
        """Joint chances, outcomes by answers, of a reading with these chances by hypothesis."""
        return [self.sums(list(map(mul, weights, outcome))) for outcome in zip(*chances, strict=True)]

    def worth(self, chances: Rows) -> tuple[float, float]:
        """Bits about the right repair, and minutes saved, by a reading with these chances."""
        if chances not in self._worths:  # many readings are moved by none of the leading sets
            joint = self.joint(chances, self.weights)
            after = sum(map(self.repair_costs.expected_repair_cost, joint))
            self._worths[chances] = (mutual_information(joint), self.cost_now - after)
        return self._worths[chances]

    @cached_property
    def _worths(self) -> dict[Rows, tuple[float, float]]:
        return {}

    def outcomes(self, measurement: Measurement) -> Rows:
        """Chances of each outcome of a reading taken now, the fault there or as often as it is there."""
        assessment = self.assessment
        table = assessment.model.table(measurement.id, assessment.now.facts)
        there = assessment.symptom_probability(measurement)
        rows = [table.outcomes_of(members) for members in self.left]
        if there < 1.0:
            away = [table.outcomes_of(members, shown_away=True) for members in self.left]
            rows = [_blended(there, *pair) for pair in zip(rows, away, strict=True)]
        if 0 in self.places:  # not listed
            rows[self.places.index(0)] = table.outcomes(table.unlisted)
        before = assessment.before(measurement.id, assessment.repair_epoch, True)
        if before is not None:
            again, kept = table.outcomes_of_repeat(before.read), before.repeat_probability
            members, repaired = assessment.model.hypotheses.members, assessment.repair_states[-1]
            for number, place in enumerate(self.places):
                if before.untouched(table, members[place], repaired):
                    rows[number] = _blended(kept, again, rows[number])
        return tuple(rows)

    def outcomes_of_retake(self, taken: PooledReading) -> Rows | None:
        """The same for a reading that has been taken: it agrees, or the first take was a slip.

        None for an observation: a second look sees what the first saw.
        """
        assessment = self.assessment
        table = assessment.model.table(taken.measurement.id, assessment.now.facts)
        read = assessment.read_of(taken, table)
        if not isinstance(read, Metered):
            return None
        again = assessment.model.kb.settings["slip_again"]
        rows = []
        for number, members in enumerate(self.left):
            listed = self.places[number] != 0
            row = table.row_of(members) if listed else table.unlisted
            slip = read.slip * read.slipped / max(read.weigh(row), 1e-300)
            fresh = table.outcomes_of(members) if listed else table.outcomes(table.unlisted)
            differs = slip * (1.0 - again)
            rows.append((1.0 - differs, *[differs * chance for chance in fresh]))
        return tuple(rows)

    def together(self, first: Rows, second: Rows) -> Rows:
        """The outcomes of two readings taken together."""
        return tuple(
            tuple([a * b for a, b in product(one, other)]) for one, other in zip(first, second, strict=True)
        )


def _blended(chance: float, one: Chances, other: Chances) -> Chances:
    """``chance * one + (1 - chance) * other``."""
    rest = 1.0 - chance
    return tuple([chance * a + rest * b for a, b in zip(one, other, strict=True)])
