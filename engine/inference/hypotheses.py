"""Which sets of faults can be there together, and how likely each is before any reading.

An *element* is a fault with its degree (``positive_cable``, ``slight``); a hypothesis is a
set of elements with at most one degree of each fault. P(H) is the product of p_f over the
faults in H and 1 - p_f over the others; the empty set, *something not listed*, has a
share of its own. Sets are listed by number of faults; the prior mass of the larger ones
that are left out is kept for the bound (Henrion 1991). Pairs, which are nearly all there is,
stand in rows, one element with all that follow it, so that work on them is done a row at a time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby, product
from math import comb, exp, expm1, log1p, prod

from crankpath.engine.inference.tables import Members


@dataclass(frozen=True, slots=True)
class RepairState:
    """Elements that repairs have taken away, and whether the complaint stayed all the same.

    A hypothesis that repairs have emptied while the complaint stays means that the work
    failed: the machine is as it was before.
    """

    elements: frozenset[int] = frozenset()
    symptom_persists: bool = False

    def left(self, members: Members) -> Members:
        """What is still wrong of a set of faults."""
        left = tuple(member for member in members if member not in self.elements)
        return left if left or not self.symptom_persists else members

    def empties(self, members: Members) -> bool:
        """True for a set of faults of which every one was repaired."""
        return bool(members) and self.elements.issuperset(members)


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
        """Where a pair stands in ``members``."""
        start, partner = self.rows[first]
        return start + second - partner

    @property
    def larger(self) -> int:
        """Where the sets of three and more begin in ``members``."""
        if self.rows:
            start, partner = self.rows[-1]
            return start + len(self.elements) - partner
        return min(len(self.members), 1 + len(self.elements))

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


def fully_repaired_hypotheses(hypotheses: Hypotheses, mended: RepairState) -> Iterator[tuple[int, Members]]:
    """Every listed set, with its place, of which all members were repaired."""
    if hypotheses.largest >= 1:
        yield from ((1 + index, (index,)) for index in mended.elements)
    for first, second in hypotheses.pairs_within(mended.elements):
        yield hypotheses.place(first, second), (first, second)
    for place in range(hypotheses.larger, len(hypotheses.members)):
        if mended.empties(hypotheses.members[place]):
            yield place, hypotheses.members[place]


def truncation_bound(hypotheses: Hypotheses, likelihood_upper_bounds: Sequence[float]) -> float:
    """Bound the joint chance of the evidence and any set that is not listed.

    Args:
        hypotheses: whose sets up to ``largest`` faults are listed.
        ceilings: per element, a number that P(evidence | H) cannot exceed for any H
            that contains it.

    Returns:
        An upper bound on the sum of P(H) P(evidence | H) over the sets left out. In a set of
        n faults the likelihood is at most the smallest of its members' ceilings, hence at
        most their geometric mean; summed over all sets of n faults that is the elementary
        symmetric polynomial of ``odds * ceiling ** (1/n)``.
    """
    if hypotheses.left_out <= 0.0:
        return 0.0
    faults: dict[str, list[int]] = {}
    for index, element in enumerate(hypotheses.elements):
        faults.setdefault(element.fault, []).append(index)
    chance_of = {f: sum(hypotheses.elements[i].chance for i in ix) for f, ix in faults.items()}
    total = 0.0
    top = min(len(faults), hypotheses.largest + 4)
    for size in range(hypotheses.largest + 1, top + 1):
        weights = [
            sum(hypotheses.elements[i].chance * likelihood_upper_bounds[i] ** (1.0 / size) for i in ix)
            / (1.0 - chance_of[f])
            for f, ix in faults.items()
        ]
        total += hypotheses.scale * _symmetric(weights, size)
    rest = _tail([chance_of[f] / (1.0 - chance_of[f]) for f in faults], top + 1) * hypotheses.scale
    return min(hypotheses.left_out, total + rest * max(likelihood_upper_bounds, default=1.0))


def _symmetric(weights: Sequence[float], size: int) -> float:
    """The elementary symmetric polynomial of that degree."""
    sums = [1.0] + [0.0] * size
    for weight in weights:
        for degree in range(size, 0, -1):
            sums[degree] += weight * sums[degree - 1]
    return sums[size]


def _tail(weights: Sequence[float], start: int) -> float:
    """Sum of the symmetric polynomials of degree ``start`` and above, by Maclaurin's bound."""
    whole = sum(weights)
    total, size = 0.0, start
    count = len(weights)
    while size <= count:
        term = comb(count, size) * (whole / count) ** size
        total += term
        if term < total * 1e-12:
            break
        size += 1
    return total
