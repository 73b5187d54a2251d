"""P(evidence | H) for every hypothesis listed, a row of pairs at a time.

Elements that show the same in a measurement form a class, so a reading is weighed once for each
class and each pair of classes; a row of pairs is then looked up. What is known of a set of faults is
known of all at once: several readings taken on one crank are multiplied first, and only then is it
left open whether the faults showed in that crank.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from operator import mul
from typing import Any

from crankpath.engine.bayes.evidence import Evidence, Factor, Metered, Read, Sum
from crankpath.engine.bayes.hypotheses import Hypotheses
from crankpath.engine.bayes.tables import ComputedMapping, Table

Vector = list[float]


@dataclass(frozen=True, slots=True)
class Weights:
    """P(evidence | H) for every hypothesis in their order, and for a sound circuit."""

    values: Vector
    sound: float

    def times(self, other: Weights) -> Weights:
        """The product, hypothesis by hypothesis."""
        return Weights(list(map(mul, self.values, other.values)), self.sound * other.sound)

    def plus(self, other: Weights, scale: float) -> Weights:
        """This plus ``scale`` times the other."""
        values = [a + scale * b for a, b in zip(self.values, other.values, strict=True)]
        return Weights(values, self.sound + scale * other.sound)

    def mixed(self, kept: float, added: float) -> Weights:
        """``kept * this + added``."""
        return Weights([kept * value + added for value in self.values], kept * self.sound + added)


def weights_of(hypotheses: Hypotheses, factor: Factor, repaired: frozenset[int]) -> Weights:
    """P(factor | H), every fault that is there showing.

    Args:
        hypotheses: the sets.
        factor: a reading, or readings that add up.
        repaired: elements that were no longer there.
    """
    if isinstance(factor, Sum):
        return _sum_weights(hypotheses, factor, repaired)
    return listed_weights(hypotheses, factor.table, factor.read, repaired)


def listed_weights(
    hypotheses: Hypotheses, table: Table[Any], read: Read, repaired: frozenset[int] = frozenset()
) -> Weights:
    """P(reading | H) for one table and one reading; the first hypothesis is *not listed*."""
    weigh = read.weigh
    acting = [index for index in sorted(table.effects) if index not in repaired]
    class_of = [table.class_of[index] for index in acting]
    alone = [weigh(table.healthy)] * len(hypotheses.elements)
    of_classes = ComputedMapping(lambda signature: weigh(table.row_of_classes(signature)))
    for index, number in zip(acting, class_of, strict=True):
        alone[index] = of_classes[(number,)]
    values = [weigh(table.unlisted)]
    if hypotheses.largest >= 1:
        values += alone
    place = 0
    for index, (_, partner) in enumerate(hypotheses.rows):
        row = alone[partner:]
        if place < len(acting) and acting[place] == index:
            start, own = bisect_left(acting, partner), class_of[place]
            if len(row) > len(acting) - start:
                row = [alone[index]] * len(row)
            for other, number in zip(acting[start:], class_of[start:], strict=True):
                row[other - partner] = of_classes[(own, number) if own <= number else (number, own)]
            place += 1
        values += row
    for members in hypotheses.members[len(values) :]:
        values.append(weigh(table.row_of([member for member in members if member not in repaired])))
    return Weights(values, weigh(table.healthy))


def _sum_weights(hypotheses: Hypotheses, factor: Sum, repaired: frozenset[int]) -> Weights:
    """Readings that add up: none of them a slip, or the whole, or one of the parts."""
    whole = factor.whole.read
    slipped = [part.read.slipped for part in factor.parts]
    parts = [_clean(hypotheses, part, repaired) for part in factor.parts]
    rests = [
        _clean(hypotheses, rest, repaired).mixed(scale * (1.0 - whole.slip), 0.0)
        for rest, scale in factor.rests
    ]
    kept = [part.mixed(1.0 - piece.read.slip, 0.0) for part, piece in zip(parts, factor.parts, strict=True)]
    total = _product([*kept, rests[0]])
    doubted = [
        part.mixed(1.0 - piece.read.slip, piece.read.slip * odd)
        for part, piece, odd in zip(parts, factor.parts, slipped, strict=True)
    ]
    total = total.plus(_product(doubted), whole.slip * whole.slipped)
    for number, (piece, odd) in enumerate(zip(factor.parts, slipped, strict=True)):
        others = [*kept[:number], *kept[number + 1 :], rests[number + 1]]
        total = total.plus(_product(others), piece.read.slip * odd)
    return total


def _clean(hypotheses: Hypotheses, piece: Evidence, repaired: frozenset[int]) -> Weights:
    """A reading's weights if it is no slip."""
    read = piece.read
    clean = Metered(read.position, read.deviation) if isinstance(read, Metered) else read
    return listed_weights(hypotheses, piece.table, clean, repaired)


def _product(factors: Sequence[Weights]) -> Weights:
    first, *rest = factors
    for other in rest:
        first = first.times(other)
    return first


def symptom_away_weights(hypotheses: Hypotheses, weights: Weights, shows: Sequence[float]) -> Weights:
    """The same where the symptom was away: each fault showed in that crank with its own chance, or not.

    Args:
        hypotheses: the sets.
        weights: of everything read on that crank together, every fault showing.
        shows: per element, the chance that it shows although the symptom is away.
    """
    values, sound = weights.values, weights.sound
    count = len(hypotheses.elements)
    single = values[1 : 1 + count] if hypotheses.largest >= 1 else []
    mixed = [a * value + (1.0 - a) * sound for a, value in zip(shows, single, strict=False)]
    found = [values[0], *mixed]
    for index, (start, partner) in enumerate(hypotheses.rows):
        a, own, away = shows[index], single[index], mixed[partner:]
        pairs = zip(values[start : start + count - partner], shows[partner:], away, strict=True)
        found += [a * (b * both + (1.0 - b) * own) + (1.0 - a) * other for both, b, other in pairs]
    if len(found) < len(values):
        found += _larger_away(hypotheses, weights, shows, len(found))
    return Weights(found, sound)


def _larger_away(hypotheses: Hypotheses, weights: Weights, shows: Sequence[float], first: int) -> Vector:
    place = {members: number for number, members in enumerate(hypotheses.members)}
    found = []
    for members in hypotheses.members[first:]:
        total = 0.0
        for size in range(len(members) + 1):
            for active in combinations(members, size):
                chance = 1.0
                for member in members:
                    chance *= shows[member] if member in active else 1.0 - shows[member]
                total += chance * (weights.values[place[active]] if active else weights.sound)
        found.append(total)
    return found
