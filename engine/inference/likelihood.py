"""P(evidence | H) for every hypothesis listed, a row of pairs at a time.

The same numbers as `Table.chances` weighed with the shares of a reading, without making
the distribution of every pair of faults: for noisy-MAX the weighed sum over bands is
``sum_b (w_b - w_(b+1)) F_0(b) prod r_f(b)`` (summation by parts; r_f is the fault's own
cumulative ratio), and for pooled readings a quotient of two such sums. A reading has
weight in two or three bands, so each pair costs a handful of multiplications; a pair of
which one member does not move the reading costs none.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate
from operator import mul, truediv

from crankpath.engine.inference.hypotheses import (
    NOTHING_REPAIRED,
    Hypotheses,
    RepairState,
    fully_repaired_hypotheses,
)
from crankpath.engine.inference.tables import Effect, Members, Table, leak_free_cdf

Vector = list[float]


def listed_likelihoods(
    hypotheses: Hypotheses,
    table: Table,
    shares: Sequence[float],
    symptom: bool = True,
    mended: RepairState = NOTHING_REPAIRED,
) -> Vector:
    """P(evidence | H) for every hypothesis, in their order; the first is *not listed*.

    Args:
        hypotheses: the sets.
        table: P(band | H) in force.
        shares: weight of each band, summing to 1.
        symptom: False mixes every member with its chance to show while the symptom is away.
        mended: what repairs had taken away when it was read.
    """
    acting = [place for place in sorted(table.effects) if place not in mended.elements]
    pairs = _Pairs(table, shares, acting, symptom)
    alone = [pairs.healthy] * len(hypotheses.elements)
    for place, value in zip(acting, pairs.alone, strict=True):
        alone[place] = value
    values = [_weighed(shares, table.unlisted or table.healthy)]
    if hypotheses.largest >= 1:
        values += alone
    number = 0
    for index, (_, partner) in enumerate(hypotheses.rows):
        if number < len(acting) and acting[number] == index:
            _add_row(values, pairs, number, acting, alone, partner)
            number += 1
        else:
            values += alone[partner:]
    for members in hypotheses.members[len(values) :]:
        values.append(_one_by_one(table, shares, symptom, mended.left(members)))
    for place, members in fully_repaired_hypotheses(hypotheses, mended) if mended.symptom_persists else ():
        values[place] = _one_by_one(table, shares, symptom, members)
    return values


def _add_row(
    values: Vector, pairs: _Pairs, number: int, acting: list[int], alone: Vector, partner: int
) -> None:
    """The pairs of an element that moves the reading with all elements from ``partner`` on."""
    start = bisect_left(acting, partner)
    together = pairs.with_others(number, start)
    if len(together) == len(alone) - partner:
        values += together
        return
    row = [pairs.alone[number]] * (len(alone) - partner)
    for other, value in zip(acting[start:], together, strict=True):
        row[other - partner] = value
    values += row


def _weighed(shares: Sequence[float], chances: Sequence[float]) -> float:
    weight: float = sum(map(mul, shares, chances))
    return weight


def _one_by_one(table: Table, shares: Sequence[float], symptom: bool, members: Members) -> float:
    touched = table.touched(members)
    return _weighed(shares, table.chances(touched) if symptom else table.chances_away(touched))


class _Pairs:
    """One table weighed with one reading's shares, for the elements that move the reading.

    healthy: weighed chance with none of them. alone: with each of them alone, in order.
    """

    def __init__(self, table: Table, shares: Sequence[float], acting: list[int], symptom: bool) -> None:
        effects = [table.effects[place] for place in acting]
        self.healthy = _weighed(shares, table.healthy)
        self._shown = [_weighed(shares, effect.chances) for effect in effects]
        ranks = [effect.masks for effect in effects]
        self._ranks = ranks if len(set(ranks)) > 1 else []
        self._shows = [] if symptom else [table.away.get(place, 1.0) for place in acting]
        self.alone = self._shown
        if self._shows:
            h, both = self.healthy, zip(self._shows, self._shown, strict=True)
            self.alone = [a * shown + (1.0 - a) * h for a, shown in both]
        self._above, self._below = _factors(table, shares, effects)

    def with_others(self, number: int, start: int) -> Vector:
        """The weighed chances of one of the elements with each from ``start`` on."""
        row = self._above.row(number, start)
        if self._below is not None:
            row = list(map(truediv, row, self._below.row(number, start)))
        if self._ranks:
            row = self._masked(number, start, row)
        if self._shows:
            row = self._away(number, start, row)
        return row

    def _masked(self, number: int, start: int, row: Vector) -> Vector:
        """The higher mask takes the reading over."""
        rank, shown = self._ranks[number], self._shown[number]
        return [
            both if other == rank else shown if other < rank else theirs
            for both, other, theirs in zip(row, self._ranks[start:], self._shown[start:], strict=True)
        ]

    def _away(self, number: int, start: int, row: Vector) -> Vector:
        """The same with the symptom away: each of the two shows with its own chance."""
        shows, shown = self._shows[number], self._shown[number]
        hidden = 1.0 - shows
        others = zip(row, self._shows[start:], self.alone[start:], strict=True)
        return [shows * (a * both + (1.0 - a) * shown) + hidden * alone for both, a, alone in others]


class _Sums:
    """``sum_b left_f(b) * right_g(b)`` for an element f and every g that follows."""

    def __init__(self, left: list[Vector], right: list[Vector]) -> None:
        self._left = left
        self._columns = [list(column) for column in zip(*right, strict=True)]

    def row(self, number: int, start: int) -> Vector:
        """The sums of one element with each from ``start`` on."""
        left = self._left[number]
        columns = [column[start:] for column in self._columns]
        if len(left) == 2:  # a reading in the middle of its band
            a, b = left
            return [a * x + b * y for x, y in zip(*columns, strict=True)]
        total = [left[0] * x for x in columns[0]]
        for a, column in zip(left[1:], columns[1:], strict=True):
            total = [t + a * x for t, x in zip(total, column, strict=True)]
        return total


def _factors(table: Table, shares: Sequence[float], effects: list[Effect]) -> tuple[_Sums, _Sums | None]:
    """What the weighed chance of a pair is made of: a sum, for pooled readings over a second one."""
    if table.push == "both":
        used = [band for band, share in enumerate(shares) if share != 0.0]
        ratios = [[c / h for c, h in zip(e.chances, table.healthy, strict=True)] for e in effects]
        left = [[shares[band] * effect.chances[band] for band in used] for effect in effects]
        above = _Sums(left, [[ratio[band] for band in used] for ratio in ratios])
        return above, _Sums([list(effect.chances) for effect in effects], ratios)
    turn = 1 if table.push == "up" else -1
    shares, background = shares[::turn], list(accumulate(table.healthy[::turn]))
    background[-1] = 1.0
    steps = [share - after for share, after in zip(shares, [*shares[1:], 0.0], strict=True)]
    used = [band for band, step in enumerate(steps) if step != 0.0]
    own = [leak_free_cdf(background, effect.chances[::turn]) for effect in effects]
    left = [[steps[band] * background[band] * ratio[band] for band in used] for ratio in own]
    return _Sums(left, [[ratio[band] for band in used] for ratio in own]), None
