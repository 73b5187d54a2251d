"""The chance of each band of one measurement under any set of faults.

Conventions (methods: leaky noisy-MAX in its *compound* form, Henrion 1987, Diez 1993):
a rule's chances hold for its fault alone together with the background, so with one fault
they are returned as written; with several, cumulative chances multiply,
``F_H = F_0 * prod(F_f / F_0)``. Elements are indexes; what they stand for is not known here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate

Chances = tuple[float, ...]
Members = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """What one element does to a measurement: chances by band, and its rank as a mask."""

    chances: Chances
    masks: int = 0
    rule: str = ""


@dataclass(frozen=True)
class Table:
    """Everything needed for P(band | H) of one measurement under one set of facts.

    Attributes:
        healthy: chance of each band without any fault; sums to 1.
        effects: element -> `Effect`; elements that are absent change nothing.
        push: "up" or "down" (noisy-MAX towards the last or first band), "both" (pooled odds).
        unlisted: chances when something the knowledge base does not list is at fault.
        away: element -> chance that it shows although the symptom is away; 1 if absent.
    """

    healthy: Chances
    effects: Mapping[int, Effect]
    push: str = "up"
    unlisted: Chances = ()
    away: Mapping[int, float] = field(default_factory=dict)
    _cache: dict[tuple[int, ...], Chances] = field(default_factory=dict, compare=False, repr=False)
    _cache_away: dict[tuple[int, ...], Chances] = field(default_factory=dict, compare=False, repr=False)
    _rows: dict[Members, Chances] = field(default_factory=dict, compare=False, repr=False)
    _rows_away: dict[Members, Chances] = field(default_factory=dict, compare=False, repr=False)

    def rows(self, sets: Sequence[Members], away: bool = False) -> list[Chances]:
        """P(band | H) for each of several sets, whether their elements have an effect here or not.

        Args:
            sets: the elements of each.
            away: for a reading taken while an intermittent symptom was away.
        """
        known = self._rows_away if away else self._rows
        return [known.get(members) or self._row(members, away) for members in sets]

    def _row(self, members: Members, away: bool) -> Chances:
        touched = self.touched(members)
        row = self.chances_away(touched) if away else self.chances(touched)
        (self._rows_away if away else self._rows)[members] = row
        return row

    def touched(self, members: Sequence[int]) -> tuple[int, ...]:
        """The members that have an effect here, in order."""
        effects = self.effects
        if len(members) == 1:
            return tuple(members) if members[0] in effects else ()
        return tuple(member for member in members if member in effects)

    def chances(self, touched: tuple[int, ...]) -> Chances:
        """P(band | H) for the members of H that have an effect here (see `touched`)."""
        known = self._cache.get(touched)
        if known is None:
            known = self._combine([self.effects[member] for member in touched])
            self._cache[touched] = known
        return known

    def chances_away(self, touched: tuple[int, ...]) -> Chances:
        """The same for a reading taken while an intermittent symptom was away.

        Each member shows with its own chance, independently of the others.
        """
        known = self._cache_away.get(touched)
        if known is None:
            known = self._mix_away(touched)
            self._cache_away[touched] = known
        return known

    def _combine(self, effects: Sequence[Effect]) -> Chances:
        if not effects:
            return self.healthy
        rank = max(effect.masks for effect in effects)
        if rank:
            effects = [effect for effect in effects if effect.masks == rank]
        if len(effects) == 1:
            return effects[0].chances
        rows = [effect.chances for effect in effects]
        if self.push == "both":
            return pooled(self.healthy, rows)
        if self.push == "down":
            return noisy_max(self.healthy[::-1], [row[::-1] for row in rows])[::-1]
        return noisy_max(self.healthy, rows)

    def _mix_away(self, touched: tuple[int, ...]) -> Chances:
        total = [0.0] * len(self.healthy)
        for pattern in range(1 << len(touched)):
            weight = 1.0
            active = []
            for place, member in enumerate(touched):
                shows = self.away.get(member, 1.0)
                if pattern >> place & 1:
                    weight *= shows
                    active.append(member)
                else:
                    weight *= 1.0 - shows
            if weight:
                row = self.chances(tuple(active))
                total = [sum_ + weight * chance for sum_, chance in zip(total, row, strict=True)]
        return tuple(total)


def noisy_max(healthy: Chances, rows: Sequence[Chances]) -> Chances:
    """Leaky noisy-MAX, compound form: the distribution when all rows' causes act together.

    Args:
        healthy: background chances over the ordered bands.
        rows: for each cause, the chances when it acts alone with the background.

    Example (independent causes of Takikawa & D'Ambrosio's noisy-MAX; numbers checked by
    enumeration). The rows given there are without background, so the leak is folded in first:

    >>> leak = (0.9, 0.08, 0.02)
    >>> a = noisy_max((1.0, 0.0, 0.0), [leak, (0.2, 0.3, 0.5)])
    >>> b = noisy_max((1.0, 0.0, 0.0), [leak, (0.6, 0.3, 0.1)])
    >>> [round(chance, 3) for chance in noisy_max(leak, [a, b])]
    [0.108, 0.333, 0.559]
    """
    background = list(accumulate(healthy))
    background[-1] = 1.0
    cumulative = background
    for row in rows:
        cumulative = [c * r for c, r in zip(cumulative, leak_free_cdf(background, row), strict=True)]
    return tuple(reached - below for reached, below in zip(cumulative, [0.0, *cumulative], strict=False))


def leak_free_cdf(background: Sequence[float], row: Chances) -> list[float]:
    """A cause's cumulative chances with the background divided out: its own distribution.

    A rule that, in some band, reads better than the healthy circuit has no such
    distribution; the nearest one is taken (never above 1, never falling).
    """
    ratio, top = [], 0.0
    for reached, healthy in zip(accumulate(row), background, strict=True):
        top = max(top, min(reached / healthy, 1.0) if healthy > 0.0 else 1.0)
        ratio.append(top)
    ratio[-1] = 1.0
    return ratio


def pooled(healthy: Chances, rows: Sequence[Chances]) -> Chances:
    """For readings that depart both ways: P proportional to ``P_0 * prod(P_f / P_0)``.

    Two faults that push the same way agree more strongly; two that push apart leave both
    ends possible.
    """
    weights = list(healthy)
    for row in rows:
        weights = [w * (c / h) if h > 0.0 else c for w, c, h in zip(weights, row, healthy, strict=True)]
    whole = sum(weights)
    if whole <= 0.0:
        return healthy
    return tuple(weight / whole for weight in weights)
