"""What a reading saves when the best second reading may follow each of its outcomes.

Looking one reading ahead, a test that decides alone beats a cheap one that only shows which test decides;
two readings can be worthless singly and valuable together (Heckerman, Horvitz & Middleton 1991).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from operator import mul

from crankpath.engine.advice.leading import Joint, Leading, Rows
from crankpath.engine.bayes.tables import Chances

_HYPOTHESES = 24  # of the leading ones
_RARE = 0.02  # outcomes rarer than this are followed by no second reading


@dataclass(frozen=True, slots=True)
class Second:
    """A reading that may follow.

    minutes: after the first, its question included. seen: how often the fault is there to be read.
    rows: its chances, by leading hypothesis.
    """

    minutes: float
    seen: float
    rows: Rows


@dataclass(frozen=True)
class TwoReadings:
    """The foremost hypotheses, on which pairs of readings are weighed."""

    leading: Leading

    @classmethod
    def of(cls, leading: Leading) -> TwoReadings:
        """The foremost of the leading hypotheses; what they leave is in proportion."""
        return cls(leading.foremost(_HYPOTHESES))

    def gain(self, first: Rows, seconds: Sequence[Second]) -> float:
        """Minutes saved by a reading and what follows it, its own not taken off.

        Args:
            first: its chances, by leading hypothesis.
            seconds: the readings that may follow.
        """
        return self.leading.cost_now - sum(cost for _, cost, _ in self._followed(first, seconds))

    def next_chances(self, first: Rows, seconds: Sequence[Second]) -> list[float]:
        """How likely each of the readings that may follow is the one that should."""
        chances = [0.0] * len(seconds)
        for chance, _, follows in self._followed(first, seconds):
            if follows is not None:
                chances[follows] += chance
        return chances

    def _followed(
        self, first: Rows, seconds: Sequence[Second]
    ) -> Iterator[tuple[float, float, int | None]]:
        """Per outcome: its chance, what is then still wasted, and the reading that follows, if one does."""
        for outcome in zip(*first[: len(self.leading.weights)], strict=True):
            weights = list(map(mul, self.leading.weights, outcome))
            chance, follows = sum(weights), None
            now = least = self.leading.expected_repair_cost(weights)
            for number, second in enumerate(seconds if chance >= _RARE else ()):
                cost = second.minutes * chance + (1.0 - second.seen) * now
                if cost < least:
                    cost += second.seen * self._after(second.rows, weights)
                    if cost < least:
                        least, follows = cost, number
            yield chance, least, follows

    def _after(self, rows: Sequence[Chances], weights: Sequence[float]) -> float:
        joint = Joint(replace(self.leading, weights=weights), tuple(rows[: len(weights)]))
        return self.leading.repair_costs.cost_after(joint.by_answer)
