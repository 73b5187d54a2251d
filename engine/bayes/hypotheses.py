"""Which sets of faults can be there together, and how likely each is before any reading.

An *element* is a fault with its degree (``positive_cable``, ``slight``); a hypothesis is a
set of elements with at most one degree of each fault. P(H) is the product of p_f over the
faults in H and 1 - p_f over the others; the empty set, *something not listed*, has a
share of its own. Sets are listed by number of faults; how much the larger ones that are left
out can weigh is bounded from what is listed. Pairs, which are nearly all there is,
stand in rows, one element with all that follow it, so that work on them is done a row at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from heapq import nlargest
from itertools import combinations, groupby, product
from math import exp, expm1, log1p, prod
from typing import Final

from crankpath.engine.bayes.tables import Members


@dataclass(frozen=True, slots=True)
class RepairState:
    """Elements that repairs have taken away or hidden, and whether the complaint stayed all the same.

    A charge hides what emptied the battery; where nothing else is left and the complaint stays, that is
    back. A hypothesis that repairs have emptied while the complaint stays means that the work failed:
    the machine is as it was before.
    """

    elements: frozenset[int] = frozenset()
    symptom_persists: bool = False
    hidden: frozenset[int] = frozenset()

    def left(self, members: Members) -> Members:
        """What is still wrong of a set of faults and shows."""
        left = tuple(member for member in members if member not in self.elements)
        showing = tuple(member for member in left if member not in self.hidden)
        if showing or not self.symptom_persists:
            return showing
        return left or members

    def empties(self, members: Members) -> bool:
        """True for a set of faults of which every one was repaired."""
        return bool(members) and self.elements.issuperset(members)

    @property
    def unseen(self) -> frozenset[int]:
        """Elements that do not show: taken away or hidden."""
        return self.elements | self.hidden


NOTHING_REPAIRED = RepairState()


@dataclass(frozen=True, slots=True)
class Element:
    """A fault with one degree, and the chance that it is there."""

    fault: str
    degree: str
    chance: float


@dataclass(frozen=True)
class Hypotheses:
    """Sets of elements with their prior chances.

    Attributes:
        elements: what the indexes in ``members`` stand for.
        members: one sorted tuple of element indexes per hypothesis: the empty set, every
            element alone, the pairs element by element, then the larger sets.
        prior: their chances; sums to 1 - ``left_out``.
        largest: number of faults up to which every set is listed.
        left_out: prior chance of all sets that are not listed.
        scale: chance of a set = scale * product of its elements' odds.
        rows: for each element the place of its first pair and the first partner; its pairs are
            those with all elements from there on. Empty where no pairs are listed.
    """

    elements: tuple[Element, ...]
    members: tuple[Members, ...]
    prior: tuple[float, ...]
    largest: int
    left_out: float
    scale: float
    rows: tuple[tuple[int, int], ...]

    def place(self, first: int, second: int) -> int:
        """Index of a pair in ``members``."""
        start, partner = self.rows[first]
        return start + second - partner

    @property
    def larger(self) -> int:
        """Where the sets of three and more begin in ``members``."""
        if self.rows:
            start, partner = self.rows[-1]
            return start + len(self.elements) - partner
        return 1 if self.largest == 0 else min(len(self.members), 1 + len(self.elements))

    def pairs_within(self, chosen: Iterable[int]) -> Iterator[tuple[int, int]]:
        """The pairs listed of which both elements are among those chosen."""
        if self.rows:
            for first, second in combinations(sorted(chosen), 2):
                if second >= self.rows[first][1]:
                    yield first, second


def list_hypotheses(
    elements: Sequence[Element], unlisted: float | None = None, largest: int = 2
) -> Hypotheses:
    """List every set of up to ``largest`` faults.

    Args:
        elements: all elements; those of one fault exclude each other and stand side by side.
        unlisted: share of the empty set, or None for the plain product of 1 - p_f.
        largest: number of faults in the largest sets listed.

    Returns:
        The sets with priors that, with ``left_out``, sum to 1.

    Raises:
        ValueError: the elements of one fault are scattered.
    """
    by_fault = [list(group) for _, group in groupby(range(len(elements)), lambda i: elements[i].fault)]
    if len({elements[indexes[0]].fault for indexes in by_fault}) < len(by_fault):
        raise ValueError("the elements of one fault must stand side by side")
    chance_of = [sum(elements[i].chance for i in indexes) for indexes in by_fault]
    log_none = sum(log1p(-chance) for chance in chance_of)
    none, some = exp(log_none), -expm1(log_none)
    odds = [elements[i].chance / (1.0 - c) for c, ix in zip(chance_of, by_fault, strict=True) for i in ix]
    if some <= 0.0:
        unlisted = None  # nothing is listed: the empty set is all there is
    scale = none if unlisted is None else none * (1.0 - unlisted) / some
    members: list[Members] = [()]
    prior = [none if unlisted is None else unlisted]
    largest = min(largest, len(by_fault))
    if largest >= 1:
        members += [(index,) for index in range(len(elements))]
        prior += [scale * weight for weight in odds]
    rows = _list_pairs(by_fault, odds, scale, members, prior) if largest >= 2 else ()
    for size in range(3, largest + 1):
        for faults in combinations(by_fault, size):
            for chosen in product(*faults):
                members.append(chosen)
                prior.append(scale * prod([odds[index] for index in chosen]))
    left_out = 0.0 if largest >= len(by_fault) else max(0.0, 1.0 - sum(prior))
    return Hypotheses(tuple(elements), tuple(members), tuple(prior), largest, left_out, scale, rows)


def _list_pairs(
    by_fault: Sequence[Sequence[int]],
    odds: Sequence[float],
    scale: float,
    members: list[Members],
    prior: list[float],
) -> tuple[tuple[int, int], ...]:
    """Add the pairs, row by row; return the rows."""
    count = len(odds)
    rows = []
    for indexes in by_fault:
        partner = indexes[-1] + 1
        partners, theirs = range(partner, count), odds[partner:]
        for index in indexes:
            rows.append((len(members), partner))
            weight = scale * odds[index]
            members += [(index, other) for other in partners]
            prior += [weight * other for other in theirs]
    return tuple(rows)


def hypotheses_within(hypotheses: Hypotheses, elements: frozenset[int]) -> Iterator[tuple[int, Members]]:
    """Every listed set, with its place, of which all members are among these elements."""
    if hypotheses.largest >= 1:
        yield from ((1 + index, (index,)) for index in elements)
    for first, second in hypotheses.pairs_within(elements):
        yield hypotheses.place(first, second), (first, second)
    for place in range(hypotheses.larger, len(hypotheses.members)):
        if hypotheses.members[place] and elements.issuperset(hypotheses.members[place]):
            yield place, hypotheses.members[place]


def truncation_bound(
    hypotheses: Hypotheses, weights: Sequence[float], weigh: Callable[[Sequence[Members]], float]
) -> float:
    """How much the sets that are not listed can weigh beside those that are.

    Args:
        hypotheses: whose sets up to ``largest`` faults are listed.
        weights: their joint chances with the evidence, in any unit.
        weigh: joint chance with the evidence of further sets together, in the same unit.

    Returns:
        Their mass in the same unit, estimated from above. The heaviest pairs are followed to all their
        sets of three, which are weighed. To any other pair a third fault does what it does to that fault
        of the pair to which it does less: what either explains it need not explain again; which
        counts every set of three thrice, and is taken fourfold to leave room. Larger sets follow as a
        geometric series. Tests hold it against exact sums.
    """
    if hypotheses.left_out <= 0.0:
        return 0.0
    if not hypotheses.rows or hypotheses.largest > 2:
        return _by_series(hypotheses, weights)
    whole = sum(weights)
    followed = [
        place
        for place in nlargest(_FOLLOWED, range(hypotheses.rows[0][0], len(weights)), key=weights.__getitem__)
        if weights[place] > _HEAVY * whole
    ]
    total = weigh(_threes(hypotheses, followed)) + _ROOM * _unfollowed(hypotheses, weights, set(followed))
    pairs = sum(weights[hypotheses.rows[0][0] :])
    ratio = min(total / pairs, _STEEPEST) if pairs > 0.0 else 0.0
    return total / (1.0 - ratio)


_FOLLOWED: Final = 12  # pairs at most
_HEAVY: Final = 0.01  # of everything listed
_ROOM: Final = 4.0  # times what is estimated, beside counting every set of three thrice
_STEEPEST: Final = 0.5


def _threes(hypotheses: Hypotheses, places: Iterable[int]) -> list[Members]:
    """Every set of three faults that holds one of these pairs."""
    found = set()
    for place in places:
        pair = hypotheses.members[place]
        faults = {hypotheses.elements[member].fault for member in pair}
        for other, element in enumerate(hypotheses.elements):
            if element.fault not in faults:
                found.add(tuple(sorted((*pair, other))))
    return sorted(found)


def _unfollowed(hypotheses: Hypotheses, weights: Sequence[float], followed: set[int]) -> float:
    """What sets of three weigh by what each third fault does to either fault of a pair.

    Sets that hold a followed pair are left out: they have been weighed.
    """
    gains = [_gains(hypotheses, weights, index) for index in range(len(hypotheses.elements))]
    mates: dict[int, set[int]] = {}
    for place in followed:
        one, other = hypotheses.members[place]
        mates.setdefault(one, set()).add(other)
        mates.setdefault(other, set()).add(one)
    total = 0.0
    for first, (start, partner) in enumerate(hypotheses.rows):
        row = weights[start : start + len(gains) - partner]
        heaviest = nlargest(_LOOKED_AT, range(len(row)), key=row.__getitem__)
        spared = sum(row) - sum(row[number] for number in heaviest)
        own = mates.get(first, set())
        total += spared * (sum(gains[first]) - sum(gains[first][mate] for mate in own))
        for number in heaviest:
            if start + number in followed:
                continue
            second = partner + number
            least = list(map(min, gains[first], gains[second]))
            weighed = own | mates.get(second, set())
            total += row[number] * max(sum(least) - sum(least[mate] for mate in weighed), 0.0)
    return total


_LOOKED_AT: Final = 40  # heaviest partners of each fault that are looked at one by one


def _gains(hypotheses: Hypotheses, weights: Sequence[float], index: int) -> list[float]:
    """For a fault, by how much each further fault multiplies its weight; 0 for its own degrees."""
    alone = weights[1 + index]
    fault = hypotheses.elements[index].fault
    found = []
    for other, element in enumerate(hypotheses.elements):
        if element.fault == fault or alone <= 0.0:
            found.append(0.0)
        else:
            found.append(weights[hypotheses.place(min(index, other), max(index, other))] / alone)
    return found


def _by_series(hypotheses: Hypotheses, weights: Sequence[float]) -> float:
    """The same from the masses of the two largest sizes listed; everything where only one is."""
    sums = [0.0] * (hypotheses.largest + 1)
    for members, weight in zip(hypotheses.members, weights, strict=True):
        sums[len(members)] += weight
    if hypotheses.largest < 2 or sums[-2] <= 0.0:
        return float("inf")
    ratio = min(3.0 * sums[-1] / sums[-2], _STEEPEST)
    return sums[-1] * ratio / (1.0 - ratio)


def only_these(hypotheses: Hypotheses, sets: Sequence[Members]) -> Hypotheses:
    """Further sets with all their subsets, each with its prior chance, to be weighed one by one."""
    members = {part for one in sets for size in range(1, len(one) + 1) for part in combinations(one, size)}
    scale, prior = hypotheses.scale, hypotheses.prior
    odds = [chance / scale for chance in prior[1 : 1 + len(hypotheses.elements)]]
    listed = ((), *sorted(members))
    chances = (prior[0], *(scale * prod([odds[index] for index in one]) for one in listed[1:]))
    return Hypotheses(hypotheses.elements, listed, chances, 0, 0.0, scale, ())
