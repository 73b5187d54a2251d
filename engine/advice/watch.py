"""Being there at the next failure: which readings to leave connected, and what each picture will mean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from crankpath.engine.advice.leading import Joint, Leading, Rows, each_once
from crankpath.engine.advice.options import Options
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.knowledge.records import Measurement

_CANDIDATES = 8  # readings that a further meter is tried with, best first
_WORTH_NOTING = 0.02  # bits
_RARE = 0.002  # chance of a picture below which a card leaves it out


@dataclass(frozen=True, slots=True)
class Picture:
    """What the meters can show together at the next failure, and what it would mean.

    bands: per measurement, the named band that it reads. chance: of this picture. repair: the repair
    it would point to, and the chance of it then; None where it points to nothing listed.
    """

    bands: tuple[str, ...]
    chance: float
    repair: str | None
    probability: float


@dataclass(frozen=True, slots=True)
class Watch:
    """Readings to leave connected until it fails.

    bits: what they are expected to tell together about the right repair, at one failure.
    outcomes: every picture that is not rare, likeliest first.
    """

    measurements: tuple[str, ...]
    bits: float
    outcomes: tuple[Picture, ...]


@dataclass(frozen=True)
class Watcher:
    """Chooses what to watch, by joint mutual information about the repair at the next failure."""

    assessment: Assessment
    options: Options
    leading: Leading

    @cached_property
    def candidates(self) -> dict[str, Rows]:
        """Readings whose leads can stay on, each with its chances by band for the leading hypotheses."""
        return {m.id: self._rows(m) for m in self.options.to_watch}

    def _rows(self, measurement: Measurement) -> Rows:
        table = self.assessment.model.table(measurement.id, self.assessment.now.facts)
        shown = [(table.row_of(members),) for members in self.leading.left]
        rows = each_once(table.chances, shown)
        if 0 in self.leading.places:
            rows[self.leading.places.index(0)] = table.chances(table.unlisted)
        return tuple(rows)

    def best(self, meters: int, most: int = 3) -> tuple[Watch, ...]:
        """The sets of so many meter readings that tell most together, best first.

        What is seen without a meter is noted beside them where it tells more.
        """
        noted = [self._with_notes(names) for names in self._sets(meters)[:most]]
        sets = sorted(noted, key=lambda names: (-self._bits(names), names))
        return tuple(Watch(names, self._bits(names), self._pictures(names)) for names in sets)

    def _with_notes(self, names: tuple[str, ...]) -> tuple[str, ...]:
        """The set with the observation that adds most, if one adds anything worth noting."""
        observed = [n for n in self.candidates if not self.assessment.model.measurements[n].numeric]
        more = [(self._bits((*names, other)), other) for other in observed if other not in names]
        if not more or max(more)[0] < self._bits(names) + _WORTH_NOTING:
            return names
        return (*names, max(more)[1])

    def _sets(self, meters: int) -> list[tuple[str, ...]]:
        """Sets worth looking at, best first: grown meter by meter from the best smaller ones."""
        metered = [name for name in self.candidates if self.assessment.model.measurements[name].numeric]
        single = sorted(metered, key=lambda name: (-self._bits((name,)), name))
        sets: list[tuple[str, ...]] = [(name,) for name in single]
        for _ in range(1, meters):
            grown = {
                tuple(sorted((*names, other)))
                for names in sorted(sets, key=self._bits, reverse=True)[:_CANDIDATES]
                for other in single
                if other not in names
            }
            if not grown:
                break
            sets = sorted(grown, key=lambda names: (-self._bits(names), names))
        return sets

    def _bits(self, names: tuple[str, ...]) -> float:
        known = self._worked_out.get(names)
        if known is None:
            known = self._worked_out[names] = self._joint(names).bits
        return known

    @cached_property
    def _worked_out(self) -> dict[tuple[str, ...], float]:
        return {}

    def _joint(self, names: Sequence[str]) -> Joint:
        rows = self.candidates[names[0]]
        for name in names[1:]:
            rows = self.leading.together(rows, self.candidates[name])
        return Joint(self.leading, rows)

    def _pictures(self, names: tuple[str, ...]) -> tuple[Picture, ...]:
        bands = [self.assessment.model.measurements[name].bands for name in names]
        answers, found = self.leading.repair_costs.answers, []
        for shown, sums in zip(product(*bands), zip(*self._joint(names).by_answer, strict=True), strict=True):
            chance = sum(sums)
            if chance >= _RARE:
                needed: dict[str, float] = {}
                for answer, weight in zip(answers, sums, strict=True):
                    for repair in answer:
                        needed[repair] = needed.get(repair, 0.0) + weight / chance
                likeliest = max(needed, key=lambda repair: (needed[repair], repair), default=None)
                least = sum(w for a, w in zip(answers, sums, strict=True) if not a) / chance
                if likeliest is None or least > needed[likeliest]:
                    found.append(Picture(shown, chance, None, least))
                else:
                    found.append(Picture(shown, chance, likeliest, min(needed[likeliest], 1.0)))
        return tuple(sorted(found, key=lambda picture: -picture.chance))
