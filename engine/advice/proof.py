"""What has to be read before a repair is made: a part is condemned on proof only.

Likely enough, and seen by a reading that was taken twice or is borne out by another, unless the part costs
less than the proof. No part hangs on one reading that may be a slip, and work that did not cure is read
again before it is done again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from crankpath.engine.advice.options import Options
from crankpath.engine.advice.suggestions import Suggestion, Suggestions
from crankpath.engine.advice.value_of_information import RepairCosts
from crankpath.engine.bayes.posterior import Posterior
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.evidence_item import EvidenceItem
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.records import Measurement

LIKELIER_THAN_NOT = 0.5

_BEARS_OUT = 3.0  # times the odds that a reading must make of a repair to bear it out
_CERTAIN = 1.0 - 1e-12


@dataclass(frozen=True)
class Proof:
    """The readings that are due before a repair."""

    assessment: Assessment
    options: Options
    suggestions: Suggestions
    costs: RepairCosts

    def due(self, repair: str, chance: float) -> Suggestion | None:
        """The reading that has to bear out a part before it is condemned, if one is worth its minutes."""
        speaking = [piece for piece in self.assessment.used if self._speaks(piece, repair)]
        twice = any(piece.taken is not None and piece.taken.repeats > 1 for piece in speaking)
        if twice or len(speaking) > 1:
            return None
        names = {piece.evidence.name for piece in speaking}
        retakes = [s for s in self.suggestions.retakes if s.measurement in names]
        new = [s for s in self.suggestions.new if s.bits > 0.0 and s.saves > 0.0]
        wasted = (1.0 - chance) * self.costs.minutes_of(repair)
        affordable = [s for s in (*retakes, *new) if s.minutes < wasted]
        return max(affordable, key=lambda s: (s.saves, s.measurement), default=None)

    def alone(self, repair: str) -> str | None:
        """The meter reading, taken once, without which the repair would not be likelier than not."""
        found = []
        for name, taken in self.options.taken.items():
            minutes = self.options.minutes(taken.measurement)
            if self.options.taken_again(taken) or minutes >= self.costs.minutes_of(repair):
                continue
            model, repaired = self.assessment.model, self.assessment.repair_states[-1]
            without = model.repair_chances(self._without(taken), repaired)
            found.append((without.get(repair, 0.0), name))
        least, name = min(found, default=(1.0, ""))
        return name if least < LIKELIER_THAN_NOT else None

    def _without(self, taken: PooledReading) -> Posterior:
        """The posterior had a reading not been taken: what is weighed by it is weighed without it, too."""
        used, entries = self.assessment.used, self.assessment.entries
        others = replace(self.assessment, entries=tuple(e for e in entries if e not in taken.readings))
        tables = {id(piece.evidence.table) for piece in used if piece.taken is not taken}
        if not tables.issuperset(id(piece.evidence.table) for piece in others.used):
            return others.posterior
        place = next((n for n, piece in enumerate(used) if piece.taken is taken), None)
        return self.assessment.posterior if place is None else self.assessment.without[place]

    def shown_again(self, repair: str) -> Suggestion | None:
        """What told most of a repair, once more, if nothing did since it (or what it needs) was made."""
        since = self._made_after(repair, self.assessment.model.kb.repairs[repair].instead)
        seen = (t for t in self.assessment.taken if self._sees(t.measurement, repair))
        if not since or any(taken.repair_epoch >= since for taken in seen):
            return None
        measurements, cost = self.assessment.model.measurements, self.costs.minutes_of(repair)
        telling = [
            s for s in self.suggestions.new
            if s.minutes < cost and self._sees(measurements[s.measurement], repair)
        ]  # fmt: skip
        said = self._odds_factors(repair)
        return max(
            telling, key=lambda s: (said.get(s.measurement, 1.0), s.bits, s.measurement), default=None
        )

    def _made_after(self, *repairs: str | None) -> int:
        """How many repairs there were when one of these was last made; 0 if none was."""
        made = (epoch for epoch, done in enumerate(self.assessment.repairs, 1) if done.repair in repairs)
        return max(made, default=0)

    def _sees(self, measurement: Measurement, repair: str) -> bool:
        """Does a reading other than the complaint see what the repair takes away?"""
        model = self.assessment.model
        if measurement in model.symptoms:
            return False
        table = model.table(measurement.id, self.assessment.now.facts)
        return not model.repaired_by[repair].isdisjoint(table.effects)

    def _speaks(self, piece: EvidenceItem, repair: str) -> bool:
        """Does a reading beside the complaint make the repair much likelier?"""
        if piece.taken is None or piece.taken.measurement in self.assessment.model.symptoms:
            return False
        return self._odds_factors(repair).get(piece.evidence.name, 1.0) >= _BEARS_OUT

    def _odds_factors(self, repair: str) -> dict[str, float]:
        """Reading -> what it made of the odds of a repair, all others being there."""
        if repair not in self._known_factors:
            elements = self.assessment.model.repaired_by[repair]
            now = _odds(self.assessment.posterior.chances_of(elements))
            pairs = zip(self.assessment.used, self.assessment.without, strict=True)
            self._known_factors[repair] = {
                piece.evidence.name: now / max(_odds(others.chances_of(elements)), 1e-12)
                for piece, others in pairs
            }
        return self._known_factors[repair]

    @cached_property
    def _known_factors(self) -> dict[str, dict[str, float]]:
        return {}


def _odds(chance: float) -> float:
    return min(chance, _CERTAIN) / (1.0 - min(chance, _CERTAIN))
