"""What meters may read together on one crank, for each of the leading sets of faults.

Given the faults, how bad they are included, readings are independent of one another, except for a leg and
its parts: the leg reads what the parts read and what is left between them. That rest is a reading of its
own, as it is where readings are weighed (`engine/inference/crank_making.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise, product, zip_longest
from typing import Any, Final

from crankpath.engine.advice.leading_hypotheses import LeadingHypotheses, Rows, each_once
from crankpath.engine.advice.options import Options
from crankpath.engine.bayes.combining import Chances
from crankpath.engine.bayes.tables import MeterTable, Table
from crankpath.engine.inference.bands import band_of

Names = tuple[str, ...]

_STEPS: Final = (10, 10, 10, 5, 4)
"""Outcomes of one meter at most, by the number of meters: together they may show the product of them."""


@dataclass(frozen=True)
class WatchCandidates:
    """What the readings that can be taken at a failure may show."""

    options: Options
    leading: LeadingHypotheses

    @cached_property
    def candidates(self) -> dict[str, Rows]:
        """Each reading that can stay connected or be seen, with the chances of its outcomes.

        What a meter read at one failure can be read at the next: a second take tells a slip from a fault.
        """
        return self._fresh | self._retakes

    @cached_property
    def _fresh(self) -> dict[str, Rows]:
        return {m.id: self.leading.outcomes(m) for m in self.options.to_watch}

    @cached_property
    def _retakes(self) -> dict[str, Rows]:
        found = {t.measurement.id: self.leading.outcomes_of_retake(t) for t in self.options.to_watch_again}
        return {name: rows for name, rows in found.items() if rows is not None}

    def outcomes(self, names: Names) -> Rows:
        """Chances of all that a set of readings may show."""
        meters = sum(map(self._is_metered, names))
        steps = _STEPS[min(meters, len(_STEPS) - 1)]
        return self._product([self._beside((name, *self._parts(name, names)), steps) for name in names])

    def adds_up(self, names: Names) -> bool:
        """Is a leg among the readings together with parts of it?"""
        return any(self._parts(name, names) for name in names)

    def _product(self, rows: Sequence[Rows]) -> Rows:
        found, *others = rows
        for other in others:
            found = self.leading.together(found, other)
        return found

    def _beside(self, reading: Names, steps: int) -> Rows:
        """What a reading may show; of a leg, what it leaves beside the parts that are read."""
        key = (reading, steps)
        if key not in self._known:
            name, *parts = reading
            rows = self._left_over(name, tuple(parts)) if parts else self.candidates[name]
            self._known[key] = _in_fewer(rows, steps) if self._is_metered(name) else rows
        return self._known[key]

    @cached_property
    def _known(self) -> dict[tuple[Names, int], Rows]:
        return {}

    def _is_metered(self, name: str) -> bool:
        return self.leading.assessment.model.measurements[name].numeric

    def _left_over(self, name: str, parts: Names) -> Rows:
        table = self._rest(name, parts)
        return self.leading.rows_of(name, table.outcomes_of, table.outcomes_unlisted)

    def _rest(self, name: str, parts: Names) -> MeterTable:
        model = self.leading.assessment.model
        table = self._table(name).without(frozenset().union(*map(model.covered, parts)))
        assert isinstance(table, MeterTable)
        return table

    def _table(self, name: str) -> Table[Any]:
        return self.leading.assessment.model.table(name, self.leading.assessment.now.facts)

    def _parts(self, name: str, names: Names) -> Names:
        """The readings of a set that are parts of a leg; a second take adds to none."""
        if name in self._retakes:
            return ()
        sums = (s.parts for s in self.leading.assessment.cranks.sums if s.whole == name)
        return tuple(n for parts in sums for n in parts if n in names and n not in self._retakes)

    # -- in named bands, for people -----------------------------------------------------

    def bands(self, names: Names) -> tuple[Names, Rows]:
        """The readings in an order, and the chances of every combination of their bands in that order."""
        parts = {name: self._parts(name, names) for name in names}
        part = {name for own in parts.values() for name in own}
        groups = [(name, *parts[name]) for name in names if name not in part]
        order = tuple(name for group in groups for name in group)
        return order, self._product(list(map(self._named, groups)))

    def _named(self, group: Names) -> Rows:
        name, *parts = group
        table = self._table(name)
        if parts:
            return self._added_up(name, tuple(parts))
        fresh = self.leading.rows_of(name, table.chances_of, table.chances(table.unlisted))
        if name not in self._retakes:
            return fresh
        before = [float(band == self._band(name, self._taken[name])) for band in self._bands_of(name)]

        def again(retake: Chances, new: Chances) -> Chances:
            return tuple([retake[0] * b + (1.0 - retake[0]) * n for b, n in zip(before, new, strict=True)])

        return tuple(each_once(again, zip(self._retakes[name], fresh, strict=True)))

    @cached_property
    def _taken(self) -> dict[str, float | str]:
        return {taken.measurement.id: taken.value for taken in self.options.to_watch_again}

    def _added_up(self, name: str, parts: Names) -> Rows:
        """A leg and its parts, by the middle of each step of the parts and of what is left between them."""
        steps = [list(_middles(table)) for table in (self._rest(name, parts), *map(self._table, parts))]
        places = {shown: place for place, shown in enumerate(product(*map(self._bands_of, (name, *parts))))}
        found = []
        for rest, *read in product(*steps):
            leg = self._band(name, rest + sum(read))
            found.append(places[leg, *map(self._band, parts, read)])

        def added(row: Chances) -> Chances:
            total = [0.0] * len(places)
            for place, chance in zip(found, row, strict=True):
                total[place] += chance
            return tuple(total)

        rows = self._product([self._left_over(name, parts), *map(self._fresh.__getitem__, parts)])
        return tuple(each_once(added, zip(rows)))

    def _bands_of(self, name: str) -> Names:
        return self.leading.assessment.model.measurements[name].bands

    def _band(self, name: str, value: float | str) -> str:
        assessment = self.leading.assessment
        return band_of(assessment.model.measurements[name], value, assessment.now.facts)


def _in_fewer(rows: Rows, steps: int) -> Rows:
    """The outcomes of a meter put together two by two until there are not more than so many."""

    def paired(row: Chances) -> Chances:
        return tuple(map(sum, zip_longest(row[::2], row[1::2], fillvalue=0.0)))

    while len(rows[0]) > steps:
        rows = tuple(each_once(paired, zip(rows)))
    return rows


def _middles(table: Table[Any]) -> Iterator[float]:
    """The middle of each outcome of a meter reading, in its unit."""
    assert isinstance(table, MeterTable)
    cuts = table.cuts
    ends = [0.0, *cuts, cuts[-1] + 1.0] if cuts else [0.0, 1.0]
    for low, high in pairwise(ends):
        yield table.scale.value((low + high) / 2.0)
