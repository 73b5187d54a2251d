"""Being there at the next failure: which readings to leave connected, and what each picture will mean."""

from __future__ import annotations

from bisect import insort
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from math import inf

from crankpath.engine.advice.leading_hypotheses import JointDistribution, LeadingHypotheses
from crankpath.engine.advice.options import Options
from crankpath.engine.advice.waiting.watch_candidates import Names, WatchCandidates
from crankpath.engine.inference.assessment import Assessment

_FEWER = 5  # sets of two meters that a third is tried with, best first
_WORTH_NOTING = 0.02  # bits
_MOST_NOTED = 2  # observations at most that somebody at the key is to make at one failure
_NEAR = 1e-9  # bits that are no difference
_RARE = 0.002  # chance of a picture below which a card leaves it out


@dataclass(frozen=True, slots=True)
class JointOutcome:
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

    bits: what they are expected to tell together about the right repair, at one failure. saves: minutes that
    the failure is expected to save, those to connect them and to try until it fails taken off.
    outcomes: every picture that is not rare, likeliest first.
    """

    measurements: tuple[str, ...]
    bits: float
    saves: float
    outcomes: tuple[JointOutcome, ...]


@dataclass(frozen=True)
class Watcher:
    """Chooses what to watch, by joint mutual information about the repair at the next failure."""

    assessment: Assessment
    options: Options
    leading: LeadingHypotheses

    @cached_property
    def shown(self) -> WatchCandidates:
        """What the readings may show that can be taken at a failure."""
        return WatchCandidates(self.options, self.leading)

    def best(self, meters: int, most: int = 3) -> tuple[Watch, ...]:
        """The sets of so many meter readings that tell most together, best first.

        What is seen without a meter is noted beside them where it tells more.
        """
        noted = [self._with_notes(names) for names in self._sets(meters, most)]
        sets = sorted(noted, key=lambda names: (-self._bits(names), names))
        return tuple(map(self._watch, sets))

    def of(self, names: Names) -> Watch | None:
        """The set of these readings, as far as they can still be taken at a failure; None if none can."""
        left = tuple(name for name in names if name in self.shown.candidates)
        return self._watch(left) if left else None

    def _watch(self, names: Names) -> Watch:
        return Watch(names, self._bits(names), self._saves(names), self._pictures(names))

    def _saves(self, names: Names) -> float:
        model = self.assessment.model
        until_it_fails = model.kb.settings["trial_minutes"] / self.assessment.complaint_rate
        connecting = self.options.minutes(*map(model.measurements.__getitem__, names))
        return self._joint(names).gain - connecting - until_it_fails

    def _with_notes(self, names: Names) -> Names:
        """The set with the observations that add most, as far as they add anything worth noting."""
        for _ in range(_MOST_NOTED):
            more = {(*names, other) for other in self._seen if other not in names}
            best = next(iter(self._foremost(more, 1)), names)
            if self._bits(best) < self._bits(names) + _WORTH_NOTING:
                break
            names = best
        return names

    @cached_property
    def _metered(self) -> Names:
        measurements = self.assessment.model.measurements
        return tuple(name for name in self.shown.candidates if measurements[name].numeric)

    @cached_property
    def _seen(self) -> Names:
        return tuple(name for name in self.shown.candidates if name not in self._metered)

    def _sets(self, meters: int, most: int) -> list[Names]:
        """Sets worth looking at, best first: every pair, and further meters beside the best of them."""
        sets: list[Names] = [()]
        for meter in range(1, meters + 1):
            pairs = ((names, other) for names in sets for other in self._metered if other not in names)
            grown = {tuple(sorted((*names, other))) for names, other in pairs}
            if not grown:
                break
            kept = most if meter == meters else len(grown) if meter == 1 else _FEWER
            sets = self._foremost(grown, kept)
        return [names for names in sets if names]

    def _foremost(self, sets: Collection[Names], most: int) -> list[Names]:
        """The sets that tell most together, best first; no other is worked out that cannot be among them."""
        found: list[tuple[float, Names]] = []
        for limit, names in sorted((-self._at_most(names), names) for names in sets):
            if len(found) >= most and limit > found[most - 1][0] + _NEAR:
                break
            insort(found, (-self._bits(names), names))
        return [names for _, names in found[:most]]

    def _at_most(self, names: Names) -> float:
        """What a set can tell at most: of one reading what it tells by itself, of the others all they can.

        ``I(A; X, Y) = I(A; X) + I(A; Y | X) <= I(A; X) + I(H; Y)``, as Y hangs on the faults H alone; a leg
        hangs on its parts as well.
        """
        if len(names) == 1 or self.shown.adds_up(names):
            return inf
        told = [self._joint((name,)).told for name in names]
        spare = (self._bits((name,)) - most for name, most in zip(names, told, strict=True))
        return sum(told) + min(spare)

    def _bits(self, names: Names) -> float:
        return self._joint(names).bits

    @cached_property
    def _worked_out(self) -> dict[Names, JointDistribution]:
        return {}

    def _joint(self, names: Names) -> JointDistribution:
        known = self._worked_out.get(names)
        if known is None:
            known = self._worked_out[names] = JointDistribution(self.leading, self.shown.outcomes(names))
        return known

    def _pictures(self, names: Names) -> tuple[JointOutcome, ...]:
        order, rows = self.shown.bands(names)
        bands = [self.assessment.model.measurements[name].bands for name in order]
        answers, found, places = self.leading.repair_costs.answers, [], list(map(order.index, names))
        joint = zip(*JointDistribution(self.leading, rows).by_answer, strict=True)
        for combined, sums in zip(product(*bands), joint, strict=True):
            shown = tuple(combined[place] for place in places)
            chance = sum(sums)
            if chance >= _RARE:
                needed: dict[str, float] = {}
                for answer, weight in zip(answers, sums, strict=True):
                    for repair in answer:
                        needed[repair] = needed.get(repair, 0.0) + weight / chance
                likeliest = max(needed, key=lambda repair: (needed[repair], repair), default=None)
                least = sum(w for a, w in zip(answers, sums, strict=True) if not a) / chance
                if likeliest is None or least > needed[likeliest]:
                    found.append(JointOutcome(shown, chance, None, least))
                else:
                    found.append(JointOutcome(shown, chance, likeliest, min(needed[likeliest], 1.0)))
        return tuple(sorted(found, key=lambda picture: -picture.chance))
