"""What a reading saves when the best second reading may follow each of its outcomes.

Looking one reading ahead, a test that decides alone beats a cheap one that only shows which test decides;
two readings can be worthless singly and valuable together (Heckerman, Horvitz & Middleton 1991). No reading
can leave less to waste than to know what is wrong would, so most pairs need not be worked out (branch and
bound).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf
from operator import mul

from crankpath.engine.advice.leading_hypotheses import JointDistribution, LeadingHypotheses, Rows

_HYPOTHESES = 24  # of the leading ones
_RARE = 0.02  # outcomes rarer than this are followed by no second reading


@dataclass(frozen=True, slots=True)
class SecondReading:
    """A reading that may follow.

    minutes: after the first, its question included. seen: how often the fault is there to be read.
    rows: its chances, by leading hypothesis.
    """

    minutes: float
    seen: float
    rows: Rows


@dataclass(frozen=True, slots=True)
class LookaheadValue:
    """A reading with what follows it.

    gain: minutes saved by both, those of the first not taken off. next_chances: how likely each of the
    readings that may follow is the one that should.
    """

    gain: float
    next_chances: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Outcome:
    """An outcome of the first reading: minutes wasted if nothing follows, and floors if each second does."""

    weights: Sequence[float]
    chance: float
    now: float
    floors: Sequence[float]

    @property
    def floor(self) -> float:
        return min(self.now, *self.floors) if self.floors else self.now


@dataclass(frozen=True)
class TwoReadings:
    """The foremost hypotheses, on which pairs of readings are weighed."""

    leading: LeadingHypotheses

    @classmethod
    def of(cls, leading: LeadingHypotheses) -> TwoReadings:
        """The foremost of the leading hypotheses; what they leave is in proportion."""
        return cls(leading.foremost(_HYPOTHESES))

    def followed(
        self, first: Rows, seconds: Sequence[SecondReading], least: float = -inf
    ) -> LookaheadValue | None:
        """A reading with what follows it; None where that gains less than ``least``.

        Args:
            first: its chances, by leading hypothesis.
            seconds: the readings that may follow.
            least: minutes that it has to save.
        """
        outcomes = list(self._outcomes(first, seconds))
        wasted, most = sum(outcome.floor for outcome in outcomes), self.leading.cost_now - least
        chances = [0.0] * len(seconds)
        for outcome in sorted(outcomes, key=lambda o: o.floor - o.now):
            if wasted > most + _ROUNDING:
                return None
            cost, follows = self._best_second(outcome, seconds)
            wasted += cost - outcome.floor
            if follows is not None:
                chances[follows] += outcome.chance
        return LookaheadValue(self.leading.cost_now - wasted, tuple(chances))

    def _outcomes(self, first: Rows, seconds: Sequence[SecondReading]) -> Iterator[_Outcome]:
        costs = self.leading.repair_costs
        for outcome in zip(*first[: len(self.leading.weights)], strict=True):
            weights = list(map(mul, self.leading.weights, outcome))
            chance, sums = sum(weights), self.leading.sums(weights)
            now, known = costs.expected_repair_cost(sums), costs.cost_if_known(sums)
            floors = [s.minutes * chance + (1.0 - s.seen) * now + s.seen * known for s in seconds]
            yield _Outcome(weights, chance, now, floors if chance >= _RARE else ())

    def _best_second(self, outcome: _Outcome, seconds: Sequence[SecondReading]) -> tuple[float, int | None]:
        """What is still wasted with the best second reading or none, and the number of that reading."""
        least, follows = outcome.now, None
        for number, floor in enumerate(outcome.floors):
            if floor < least:
                cost = self._with(seconds[number], outcome, least)
                if cost < least:
                    least, follows = cost, number
        return least, follows

    def _with(self, second: SecondReading, outcome: _Outcome, most: float) -> float:
        """What is still wasted with that second reading; anything above ``most`` if it is more."""
        fixed = second.minutes * outcome.chance + (1.0 - second.seen) * outcome.now
        if second.seen <= 0.0:
            return fixed
        joint = JointDistribution(self.leading, second.rows[: len(outcome.weights)], outcome.weights)
        costs, most = self.leading.repair_costs, (most - fixed) / second.seen
        return fixed + second.seen * costs.cost_after(joint.by_answer, most)


_ROUNDING = 1e-9  # minutes
