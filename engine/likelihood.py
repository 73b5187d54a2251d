"""P(evidence | H) for whole groups of hypotheses at once.

The same numbers as `Table.chances` weighed with the shares of a reading, without making
the distribution of every pair of faults: for noisy-MAX the weighed sum over bands is
``sum_b (w_b - w_(b+1)) F_0(b) prod r_f(b)`` (summation by parts; r_f is the fault's own
cumulative ratio), and for pooled readings a quotient of two such sums. A reading has
weight in two or three bands, so each pair costs a handful of multiplications.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from operator import mul

from crankpath.engine.tables import Members, Table, own_ratio

Vector = list[float]


def class_likelihoods(
    table: Table, groups: Sequence[Members], shares: Sequence[float], symptom: bool = True
) -> Vector:
    """P(evidence | class) for every class of `Hypotheses.classes`.

    Args:
        table: P(band | H) in force.
        groups: the touched members of each class; class 0 is *not listed*.
        shares: weight of each band, summing to 1.
        symptom: False mixes every member with its chance to show while the symptom is away.
    """
    weigh = _Weighing(table, shares)
    found = [weigh.row(table.unlisted or table.healthy)]
    single, pair = (weigh.single, weigh.pair) if symptom else (weigh.single_away, weigh.pair_away)
    for touched in groups[1:]:
        size = len(touched)
        if size == 2:
            found.append(pair(touched[0], touched[1]))
        elif size == 1:
            found.append(single(touched[0]))
        elif size == 0:
            found.append(weigh.healthy)
        else:
            found.append(weigh.row(table.chances(touched) if symptom else table.chances_away(touched)))
    return found


class _Weighing:
    """One table weighed with one reading's shares; what pairs need is worked out per member."""

    def __init__(self, table: Table, shares: Sequence[float]) -> None:
        self._table = table
        self._shares = shares
        self.healthy = self.row(table.healthy)
        self._singles = {member: self.row(effect.chances) for member, effect in table.effects.items()}
        self._masks = {member: effect.masks for member, effect in table.effects.items()}
        if table.push == "both":
            self._prepare_pooled()
        else:
            self._prepare_noisy_max()

    def row(self, chances: Sequence[float]) -> float:
        """One distribution weighed."""
        weight: float = sum(map(mul, self._shares, chances))
        return weight

    def single(self, member: int) -> float:
        """The weighed chance with one member."""
        return self._singles[member]

    def single_away(self, member: int) -> float:
        """The same with the symptom away."""
        shows = self._table.away.get(member, 1.0)
        return shows * self._singles[member] + (1.0 - shows) * self.healthy

    def pair(self, first: int, second: int) -> float:
        """The weighed chance with two members; the higher mask takes the reading over."""
        rank, other = self._masks[first], self._masks[second]
        if rank > other:
            return self._singles[first]
        if other > rank:
            return self._singles[second]
        top: float = sum(map(mul, self._left[first], self._right[second]))
        if self._whole:
            top /= sum(map(mul, self._whole[first], self._plain[second]))
        return top

    def pair_away(self, first: int, second: int) -> float:
        """The same with the symptom away."""
        one, two = self._table.away.get(first, 1.0), self._table.away.get(second, 1.0)
        return (
            one * two * self.pair(first, second)
            + one * (1.0 - two) * self._singles[first]
            + (1.0 - one) * two * self._singles[second]
            + (1.0 - one) * (1.0 - two) * self.healthy
        )

    def _prepare_noisy_max(self) -> None:
        table = self._table
        up = table.push == "up"
        shares = list(self._shares) if up else list(self._shares)[::-1]
        healthy = table.healthy if up else table.healthy[::-1]
        background = list(accumulate(healthy))
        background[-1] = 1.0
        steps = [share - after for share, after in zip(shares, [*shares[1:], 0.0], strict=True)]
        used = [band for band, step in enumerate(steps) if step != 0.0]
        self._left: dict[int, Vector] = {}
        self._right: dict[int, Vector] = {}
        self._whole: dict[int, Vector] = {}
        self._plain: dict[int, Vector] = {}
        for member, effect in table.effects.items():
            ratio = own_ratio(background, effect.chances if up else effect.chances[::-1])
            self._right[member] = [ratio[band] for band in used]
            self._left[member] = [steps[band] * background[band] * ratio[band] for band in used]

    def _prepare_pooled(self) -> None:
        table, shares = self._table, self._shares
        used = [band for band, share in enumerate(shares) if share != 0.0]
        self._left, self._right, self._whole, self._plain = {}, {}, {}, {}
        for member, effect in table.effects.items():
            ratio = [c / h for c, h in zip(effect.chances, table.healthy, strict=True)]
            self._right[member] = [ratio[band] for band in used]
            self._left[member] = [shares[band] * effect.chances[band] for band in used]
            self._whole[member] = list(effect.chances)
            self._plain[member] = ratio
