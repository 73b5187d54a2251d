"""What a reading is worth: bits about the right repair, and minutes saved.

The expected cost to a cured machine follows the probability-over-cost order (Kadane &
Simon 1977; Heckerman, Breese & Rommelse 1995): try repairs by falling chance per minute,
and call for help after as many of them as is cheapest. The cost of the repair that is needed anyway
is the same for every policy, so only wasted minutes are counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from math import fsum, inf, log2
from operator import add, truediv

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

    __slots__ = (
        "_alone", "_cost", "_costs", "_help", "_larger", "_needing", "_none", "_pairs", "_places", "answers",
        "repairs",
    )  # fmt: skip

    def __init__(self, answers: Sequence[Answer], costs: Costs) -> None:
        self.answers = tuple(answers)
        self.repairs = tuple(sorted({repair for answer in answers for repair in answer}))
        place = {repair: index for index, repair in enumerate(self.repairs)}
        absent = len(self.answers)  # a place for the weight of an answer that is not there: 0
        self._none = absent  # the answer that no repair cures
        self._needing: list[list[int]] = [[] for _ in self.repairs]  # the answers that need a repair
        self._alone = [absent] * len(self.repairs)  # the answer that needs nothing else
        self._pairs: list[list[tuple[int, int]]] = [[] for _ in self.repairs]  # (other, answer of both)
        self._larger: list[tuple[int, frozenset[int]]] = []
        for row, answer in enumerate(self.answers):
            needs = [place[repair] for repair in answer]
            for repair in needs:
                self._needing[repair].append(row)
            if len(needs) == 1:
                self._alone[needs[0]] = row
            elif len(needs) == 2:
                self._pairs[needs[0]].append((needs[1], row))
                self._pairs[needs[1]].append((needs[0], row))
            elif needs:
                self._larger.append((row, frozenset(needs)))
            else:
                self._none = row
        self._cost = [costs.wasted[repair] or _FREE for repair in self.repairs]
        self._costs, self._help = costs, costs.help
        self._places = range(len(self.repairs))

    def of_answers(self, rows: Iterable[int]) -> RepairCosts:
        """The same for some of the answers only."""
        return RepairCosts([self.answers[row] for row in rows], self._costs)

    def minutes_of(self, repair: str) -> float:
        """Minutes wasted by a repair that was not needed; 0 for one that no answer needs."""
        return self._cost[self.repairs.index(repair)] if repair in self.repairs else 0.0

    def chances(self, weights: Sequence[float]) -> list[float]:
        """Per repair, the weight of the answers that need it."""
        return [sum([weights[row] for row in rows]) for rows in self._needing]

    def expected_repair_cost(self, weights: Sequence[float]) -> float:
        """Expected minutes wasted before the machine is cured, times the sum of the weights.

        Repairs are tried in p/c order; help is called after as many as is cheapest.
        """
        return self.cost_after([[weight] for weight in weights])

    def cost_if_known(self, weights: Sequence[float]) -> float:
        """The same where the right answer is known: help is called only for what no repair cures."""
        return weights[self._none] * self._help if self._none < len(self.answers) else 0.0

    def cost_after(self, joint: Sequence[Sequence[float]], most: float = inf) -> float:
        """The same, added up over the outcomes of a reading.

        Args:
            joint: for each answer its weight together with each outcome.
            most: a cost above which nobody asks how much it is; then anything above it comes back.
        """
        if not self.repairs:
            return self._help * sum(map(sum, joint))
        chances = [column_sums([joint[row] for row in rows]) for rows in self._needing]
        joint = [*joint, [0.0] * len(joint[0])]
        cost = sum(joint[self._none]) * self._help  # if the answer were known after every outcome
        for beyond in map(self._beyond, zip(*chances, strict=True), zip(*joint, strict=True)):
            cost += beyond
            if cost > most:
                break
        return cost

    def _beyond(self, chance: Sequence[float], weights: Sequence[float]) -> float:
        """Minutes above those if the answer were known, for one outcome with the chance of each repair."""
        cost, calling, alone = self._cost, self._help, self._alone
        rate = list(map(truediv, chance, cost))
        spent, left = 0.0, sum(weights)
        tried: set[int] = set()
        known = weights[self._none] * calling
        least = left * calling - known
        for repair in sorted(self._places, key=rate.__getitem__, reverse=True):
            if left > chance[repair]:
                spent += cost[repair] * (left - chance[repair])
            if spent >= least or rate[repair] <= 0.0:
                break  # it only grows from here
            left -= weights[alone[repair]]
            for other, row in self._pairs[repair]:
                if other in tried:
                    left -= weights[row]
            tried.add(repair)
            for row, needs in self._larger:
                if repair in needs and needs <= tried:
                    left -= weights[row]
            asked = left * calling - known
            if spent + asked < least:
                least = spent + asked if asked > 0.0 else spent
        return least


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


def mutual_information(rows: Sequence[Sequence[float]]) -> float:
    """Mutual information in bits between row and column of a matrix of (unnormalised) chances."""
    whole = sum(map(sum, rows))
    if whole <= 0.0:
        return 0.0
    # H(A) + H(B) - H(A, B), each as log2(whole) - sum(x log2 x) / whole
    inner = sum_x_log_x(chain.from_iterable(rows))
    outer = sum_x_log_x(map(sum, rows)) + sum_x_log_x(column_sums(rows))
    return max(0.0, (inner - outer) / whole + log2(whole))


def sum_x_log_x(weights: Iterable[float]) -> float:
    """``sum(x log2 x)``, in bits."""
    return sum([x * log2(x) for x in weights if x > 0.0])


def column_sums(rows: Sequence[Sequence[float]]) -> Sequence[float]:
    """Several rows added up, column by column."""
    total = rows[0]
    for row in rows[1:]:
        total = list(map(add, total, row))
    return total
