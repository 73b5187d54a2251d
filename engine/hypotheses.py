"""Which sets of faults can be there together, and how likely each is before any reading.

An *element* is a fault with its degree (``positive_cable``, ``slight``); a hypothesis is a
set of elements with at most one degree of each fault. P(H) is the product of p_f over the
faults in H and 1 - p_f over the others; the empty set, *something not listed*, has a
share of its own. Sets are listed by number of faults; the prior mass of the larger ones
that are left out is kept for the bound (Henrion 1991).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations
from math import comb, exp, expm1, log1p

from crankpath.engine.tables import Members, Table


@dataclass(frozen=True, slots=True)
class Mended:
    """Elements that repairs have taken away, and whether the complaint stayed all the same.

    A hypothesis that repairs have emptied while the complaint stays means that the work
    failed: the machine is as it was before.
    """

    elements: frozenset[int] = frozenset()
    stays: bool = False

    def left(self, members: Members) -> Members:
        """What is still wrong of a set of faults."""
        left = tuple(member for member in members if member not in self.elements)
        return left if left or not self.stays else members

    def empties(self, members: Members) -> bool:
        """True for a set of faults of which every one was repaired."""
        return bool(members) and self.elements.issuperset(members)


NOTHING_MENDED = Mended()


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
        members: one sorted tuple of element indexes per hypothesis; the first is empty.
        prior: their chances; sums to 1 - ``left_out``.
        largest: number of faults up to which every set is listed.
        left_out: prior chance of all sets that are not listed.
    """

    elements: tuple[Element, ...]
    members: tuple[Members, ...]
    prior: tuple[float, ...]
    largest: int
    left_out: float
    scale: float  # chance of a set = scale * product of its elements' odds
    _classes: dict[object, tuple[list[int], list[Members]]] = field(
        default_factory=dict, compare=False, repr=False
    )

    def classes(
        self, key: object, table: Table, mended: Mended = NOTHING_MENDED
    ) -> tuple[list[int], list[Members]]:
        """Group the hypotheses by the members that matter to a table.

        Args:
            key: names the set of elements with an effect in ``table`` (the cache key).
            table: whose `Table.touched` decides.
            mended: what repairs have taken away.

        Returns:
            For each hypothesis its class, and for each class the touched members. Class 0
            is the empty hypothesis's own ("not listed").
        """
        full_key = (key, mended)
        known = self._classes.get(full_key)
        if known is not None:
            return known
        matters = [place in table.effects for place in range(len(self.elements))]
        numbers: dict[Members, int] = {}
        groups: list[Members] = [()]
        index = [0]
        for members in self.members[1:]:
            touched = _touched(mended.left(members) if mended.elements else members, matters)
            number = numbers.get(touched)
            if number is None:
                number = numbers[touched] = len(groups)
                groups.append(touched)
            index.append(number)
        self._classes[full_key] = (index, groups)
        return index, groups


def _touched(members: Members, matters: Sequence[bool]) -> Members:
    if len(members) == 1:
        return members if matters[members[0]] else ()
    if len(members) == 2:
        first, second = members
        if matters[first]:
            return members if matters[second] else (first,)
        return (second,) if matters[second] else ()
    return tuple(member for member in members if matters[member])


def list_hypotheses(
    elements: Sequence[Element], unlisted: float | None = None, largest: int = 2
) -> Hypotheses:
    """List every set of up to ``largest`` faults.

    Args:
        elements: all elements; those of one fault exclude each other.
        unlisted: share of the empty set, or None for the plain product of 1 - p_f.
        largest: number of faults in the largest sets listed.

    Returns:
        The sets with priors that, with ``left_out``, sum to 1.
    """
    by_fault: dict[str, list[int]] = {}
    for index, element in enumerate(elements):
        by_fault.setdefault(element.fault, []).append(index)
    chance_of = {fault: sum(elements[i].chance for i in indexes) for fault, indexes in by_fault.items()}
    log_none = sum(log1p(-chance) for chance in chance_of.values())
    none, some = exp(log_none), -expm1(log_none)
    odds = [element.chance / (1.0 - chance_of[element.fault]) for element in elements]
    if some <= 0.0:
        unlisted = None  # nothing is listed: the empty set is all there is
    scale = none if unlisted is None else none * (1.0 - unlisted) / some
    members: list[Members] = [()]
    prior = [none if unlisted is None else unlisted]
    largest = min(largest, len(by_fault))
    for size in range(1, largest + 1):
        for faults in combinations(by_fault.values(), size):
            _spread(faults, (), scale, odds, members, prior)
    left_out = 0.0 if largest >= len(by_fault) else max(0.0, 1.0 - sum(prior))
    return Hypotheses(tuple(elements), tuple(members), tuple(prior), largest, left_out, scale)


def _spread(
    faults: Sequence[Sequence[int]],
    chosen: Members,
    weight: float,
    odds: Sequence[float],
    members: list[Members],
    prior: list[float],
) -> None:
    if not faults:
        members.append(tuple(sorted(chosen)))
        prior.append(weight)
        return
    for index in faults[0]:
        _spread(faults[1:], (*chosen, index), weight * odds[index], odds, members, prior)


def mass_of_larger_sets(hypotheses: Hypotheses, ceilings: Sequence[float]) -> float:
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
            sum(hypotheses.elements[i].chance * ceilings[i] ** (1.0 / size) for i in ix)
            / (1.0 - chance_of[f])
            for f, ix in faults.items()
        ]
        total += hypotheses.scale * _symmetric(weights, size)
    rest = _tail([chance_of[f] / (1.0 - chance_of[f]) for f in faults], top + 1) * hypotheses.scale
    return min(hypotheses.left_out, total + rest * max(ceilings, default=1.0))


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
