"""What a reading is worth: bits about the right repair, and minutes saved.

The expected cost to a cured machine follows the probability-over-cost order (Kadane &
Simon 1977; Heckerman, Breese & Rommelse 1995): try repairs by falling chance per minute,
and call for help after as many of them as is cheapest. The cost of the repair that is needed anyway
is the same for every policy, so only wasted minutes are counted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from math import fsum, log2
from operator import truediv

from crankpath.engine.inference.model import Answer

_FREE = 1e-9  # minutes of a repair that costs nothing, so that it comes first


@dataclass(frozen=True, slots=True)
class Costs:
    """Minutes wasted by a repair that was not needed, and by calling for help."""

    wasted: Mapping[str, float]
    help: float


class RepairCosts:
    """Answers (sets of repairs) against costs, laid out for being asked many times.

    Args:
        answers: each different set of repairs that may be needed; empty is *not listed*.
        costs: minutes of each wrong repair and of help.
    """

    __slots__ = ("_alone", "_cost", "_help", "_larger", "_pairs", "answers", "repairs")

    def __init__(self, answers: Sequence[Answer], costs: Costs) -> None:
        self.answers = tuple(answers)
        self.repairs = tuple(sorted({repair for answer in answers for repair in answer}))
        place = {repair: index for index, repair in enumerate(self.repairs)}
        needs = [tuple(place[repair] for repair in answer) for answer in self.answers]
        self._alone = [-1] * len(self.repairs)  # the answer that needs just this repair; -1: there is none
        for row, need in enumerate(needs):
            if len(need) == 1:
                self._alone[need[0]] = row
        self._pairs = [(row, *need) for row, need in enumerate(needs) if len(need) == 2]
        self._larger = [(row, need) for row, need in enumerate(needs) if len(need) > 2]
        self._cost = [costs.wasted[repair] or _FREE for repair in self.repairs]
        self._help = costs.help

    def minutes_of(self, repair: str) -> float:
        """Minutes wasted by a repair that was not needed; 0 for one that no answer needs."""
        return self._cost[self.repairs.index(repair)] if repair in self.repairs else 0.0

    def chances(self, weights: Sequence[float]) -> list[float]:
        """Per repair, the weight of the answers that need it."""
        return self._chances(weights, self._needed_alone(weights))

    def _needed_alone(self, weights: Sequence[float]) -> list[float]:
        padded = (*weights, 0.0)  # so that place -1 holds nothing
        return [padded[row] for row in self._alone]

    def _chances(self, weights: Sequence[float], alone: Sequence[float]) -> list[float]:
        chance = list(alone)
        for row, first, second in self._pairs:
            weight = weights[row]
            chance[first] += weight
            chance[second] += weight
        for row, need in self._larger:
            for repair in need:
                chance[repair] += weights[row]
        return chance

    def order(self, chance: Sequence[float]) -> list[int]:
        """Places of the repairs with any chance, by falling chance per minute wasted."""
        rate = list(map(truediv, chance, self._cost))
        # reverse keeps equal ones in their order
        return sorted([r for r, value in enumerate(rate) if value > 0.0], key=rate.__getitem__, reverse=True)

    def expected_repair_cost(self, weights: Sequence[float]) -> float:
        """Expected minutes wasted before the machine is cured, times the sum of the weights.

        Repairs are tried in p/c order; help is called after as many as is cheapest.
        """
        alone = self._needed_alone(weights)
        chance = self._chances(weights, alone)
        order = self.order(chance)
        completes = self._completes(weights, alone, order)
        expected_repair_cost, left = 0.0, sum(weights)
        least = left * self._help
        for repair in order:
            expected_repair_cost += self._cost[repair] * max(left - chance[repair], 0.0)
            if expected_repair_cost >= least:
                break  # it only grows from here
            left -= completes[repair]
            least = min(least, expected_repair_cost + max(left, 0.0) * self._help)
        return least

    def _completes(
        self, weights: Sequence[float], alone: Sequence[float], order: Sequence[int]
    ) -> list[float]:
        """Per repair, the weight of the answers that are cured once it is made, in that order."""
        completes = list(alone)
        if self._pairs or self._larger:
            turn = [0] * len(completes)
            for index, repair in enumerate(order):
                turn[repair] = index
            for row, first, second in self._pairs:
                completes[first if turn[first] > turn[second] else second] += weights[row]
            for row, need in self._larger:
                completes[max(need, key=turn.__getitem__)] += weights[row]
        return completes


def expected_minutes(weights: Mapping[Answer, float], costs: Costs) -> float:
    """`RepairCosts.expected_repair_cost` for (unnormalised) chances of answers, in minutes.

    >>> costs = Costs({"a": 10.0, "b": 5.0}, 1000.0)
    >>> expected_minutes({frozenset("a"): 0.5, frozenset("b"): 0.5}, costs)
    2.5
    """
    return RepairCosts(tuple(weights), costs).expected_repair_cost(tuple(weights.values()))


def repair_order(weights: Mapping[Answer, float], costs: Costs) -> tuple[str, ...]:
    """Repairs by falling chance per minute wasted."""
    chances: dict[str, float] = {}
    for answer, weight in weights.items():
        for repair in answer:
            chances[repair] = chances.get(repair, 0.0) + weight
    return by_rate(chances, costs)


def by_rate(chances: Mapping[str, float], costs: Costs) -> tuple[str, ...]:
    """Repairs that have any chance to be needed, by falling chance per minute wasted."""
    rate = {repair: chance / (costs.wasted[repair] or _FREE) for repair, chance in chances.items()}
    return tuple(sorted((r for r in sorted(rate) if rate[r] > 0.0), key=lambda r: -rate[r]))


def entropy(weights: Sequence[float]) -> float:
    """Entropy in bits of weights that need not sum to 1."""
    whole = sum(weights)
    if whole <= 0.0:
        return 0.0
    shares = (w / whole for w in weights)
    return -fsum(share * log2(share) for share in shares if share > 0.0)


def information(joint: Mapping[Answer, Sequence[float]]) -> float:
    """Mutual information in bits between answer and band, from their joint chances."""
    return mutual_information(tuple(joint.values()))


def mutual_information(rows: Sequence[Sequence[float]]) -> float:
    """Mutual information in bits between row and column of a matrix of (unnormalised) chances."""
    sums = list(map(sum, rows))
    columns = list(map(sum, zip(*rows, strict=True)))
    whole = sum(sums)
    if whole <= 0.0:
        return 0.0
    # H(A) + H(B) - H(A, B), each as log2(whole) - sum(x log2 x) / whole
    inner = fsum([cell * log2(cell) for cell in chain.from_iterable(rows) if cell > 0.0])
    outer = fsum([x * log2(x) for x in (*sums, *columns) if x > 0.0])
    return max(0.0, (inner - outer) / whole + log2(whole))
