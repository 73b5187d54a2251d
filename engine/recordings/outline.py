"""A crank with fewer samples, for a drawing: lowest and highest of each short stretch."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from itertools import pairwise

from crankpath.engine.recordings.cranks import RawCrank

_AROUND = 0.4  # s shown before and after


@dataclass(frozen=True, slots=True)
class Outline:
    """A crank in even stretches.

    begins, ends: s from the beginning of the crank. columns: (lowest, highest) of each stretch.
    Where a stretch has no sample, its pair is that of the stretch before.
    """

    begins: float
    ends: float
    columns: tuple[tuple[tuple[float, float], ...], ...]


def outline_of(raw: RawCrank, count: int) -> Outline:
    """The outline of a crank in so many stretches."""
    begin = max(raw.times[0], raw.begin - _AROUND)
    end = min(raw.times[-1], raw.end + _AROUND)
    edges = [bisect_left(raw.times, begin + (end - begin) * i / count) for i in range(count)]
    edges.append(len(raw.times) if end >= raw.times[-1] else bisect_left(raw.times, end))
    columns = []
    for values in raw.columns:
        pairs: list[tuple[float, float]] = []
        for start, stop in pairwise(edges):
            part = values[start:stop]
            pairs.append((min(part), max(part)) if part else pairs[-1] if pairs else (values[start],) * 2)
        columns.append(tuple(pairs))
    return Outline(begin - raw.begin, end - raw.begin, tuple(columns))
