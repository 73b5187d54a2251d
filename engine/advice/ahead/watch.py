"""Being there at the next failure: which readings to leave connected, and what each picture will mean."""

from __future__ import annotations

from bisect import insort
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from math import inf

from crankpath.engine.advice.leading import Joint, Leading, Rows
from crankpath.engine.advice.options import Options
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.knowledge.records import Measurement

_CANDIDATES = 8  # readings that a further meter is tried with, best first
_WORTH_NOTING = 0.02  # bits
_NEAR = 1e-9  # bits that are no difference
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
        rows = list(map(table.chances_of.__getitem__, self.leading.left(measurement.id)))
        if 0 in self.leading.places:
            rows[self.leading.places.index(0)] = table.chances(table.unlisted)
        return tuple(rows)

    def best(self, meters: int, most: int = 3) -> tuple[Watch, ...]:
        """The sets of so many meter readings that tell most together, best first.

        What is seen without a meter is noted beside them where it tells more.
        """
        noted = [self._with_notes(names) for names in self._sets(meters, most)]
        sets = sorted(noted, key=lambda names: (-self._bits(names), names))
        return tuple(Watch(names, self._bits(names), self._pictures(names)) for names in sets)

    def _with_notes(self, names: tuple[str, ...]) -> tuple[str, ...]:
        """The set with the observation that adds most, if one adds anything worth noting."""
        observed = [n for n in self.candidates if not self.assessment.model.measurements[n].numeric]
        for noted in self._foremost({(*names, other) for other in observed if other not in names}, 1):
            if self._bits(noted) >= self._bits(names) + _WORTH_NOTING:
                return noted
        return names

    def _sets(self, meters: int, most: int) -> list[tuple[str, ...]]:
        """Sets worth looking at, best first: grown meter by meter from the best smaller ones."""
        single = [name for name in self.candidates if self.assessment.model.measurements[name].numeric]
        sets = self._foremost({(name,) for name in single}, most if meters == 1 else _CANDIDATES)
        for meter in range(1, meters):
            grown = {
                tuple(sorted((*names, other))) for names in sets for other in single if other not in names
            }
            if not grown:
                break
            sets = self._foremost(grown, most if meter == meters - 1 else _CANDIDATES)
        return sets

    def _foremost(self, sets: Collection[tuple[str, ...]], most: int) -> list[tuple[str, ...]]:
        """The sets that tell most together, best first; no other is worked out that cannot be among them."""
        found: list[tuple[float, tuple[str, ...]]] = []
        for limit, names in sorted((-self._at_most(names), names) for names in sets):
            if len(found) >= most and limit > found[most - 1][0] + _NEAR:
                break
            insort(found, (-self._bits(names), names))
        return [names for _, names in found[:most]]

    def _at_most(self, names: tuple[str, ...]) -> float:
        """What a set can tell at most: of one reading what it tells by itself, of the others all they can.

        ``I(A; X, Y) = I(A; X) + I(A; Y | X) <= I(A; X) + I(H; Y)``, as Y hangs on the faults H alone.
        """
        if len(names) == 1:
            return inf
        told = [self._joint((name,)).told for name in names]
        spare = (self._bits((name,)) - most for name, most in zip(names, told, strict=True))
        return sum(told) + min(spare)

    def _bits(self, names: tuple[str, ...]) -> float:
        return self._joint(names).bits

    @cached_property
    def _worked_out(self) -> dict[tuple[str, ...], Joint]:
        return {}

    def _joint(self, names: tuple[str, ...]) -> Joint:
        known = self._worked_out.get(names)
        if known is None:
            rows = self.candidates[names[0]]
            for name in names[1:]:
                rows = self.leading.together(rows, self.candidates[name])
            known = self._worked_out[names] = Joint(self.leading, rows)
        return known

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
