"""The pictures of a watch as a short table: neighbouring pictures that point to one repair are one row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from crankpath.engine.advice.waiting.watch import Watch
from crankpath.engine.knowledge.records import Measurement

POINTS_AT = 0.5
"""A picture points to a repair that it makes likelier than everything else together."""

Shown = tuple[tuple[str, ...], ...]
"""Per reading, the bands it may show, in their order."""


@dataclass(frozen=True, slots=True)
class WatchRow:
    """What may show at the next failure, and the repair it points to.

    shown: per reading, its bands. chance: of this row. repair: the repair; probability: of it then.
    """

    shown: Shown
    chance: float
    repair: str
    probability: float


def watch_table(watch: Watch, measurements: Sequence[Measurement]) -> tuple[WatchRow, ...]:
    """The rows that point to a repair, likeliest first; what is in none of them points to none.

    Args:
        watch: what is left connected.
        measurements: its readings, in its order.
    """
    rows = [
        WatchRow(tuple((band,) for band in p.bands), p.chance, p.repair, p.probability)
        for p in watch.outcomes
        if p.repair is not None and p.probability > POINTS_AT
    ]
    while True:
        for one, other in combinations(rows, 2):
            both = _joined(one, other, measurements)
            if both is not None:
                rows = [row for row in rows if row is not one and row is not other] + [both]
                break
        else:
            return tuple(sorted(rows, key=lambda row: (-row.chance, row.shown)))


def _joined(one: WatchRow, other: WatchRow, measurements: Sequence[Measurement]) -> WatchRow | None:
    """One row for two of the same repair that differ in one reading only, by bands that are neighbours.

    P(repair | either) is the mean of both chances, weighed by how often each row shows.
    """
    differing = [n for n, (a, b) in enumerate(zip(one.shown, other.shown, strict=True)) if a != b]
    if one.repair != other.repair or len(differing) != 1:
        return None
    place = differing[0]
    m = measurements[place]
    bands = sorted({*one.shown[place], *other.shown[place]}, key=m.bands.index)
    if m.numeric and m.bands.index(bands[-1]) - m.bands.index(bands[0]) >= len(bands):
        return None
    chance = one.chance + other.chance
    probability = (one.chance * one.probability + other.chance * other.probability) / chance
    shown = (*one.shown[:place], tuple(bands), *one.shown[place + 1 :])
    return WatchRow(shown, chance, one.repair, probability)
