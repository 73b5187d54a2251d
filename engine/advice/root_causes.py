"""After a cure: what brought the fault about, so that it does not come back.

The knowledge base links faults by `leads_to`; the reading that proves the one behind is taken before the
case is closed, unless it was taken in the case before, and outside its limit it asks for a repair of its own.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property

from crankpath.engine.advice.options import Options
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.ranges import against_limit
from crankpath.engine.knowledge.records import Measurement

_SURE = 0.5  # chance from which on a fault was among those a repair cured


def cured_faults(assessment: Assessment, repair: str) -> tuple[str, ...]:
    """The faults that a repair made here most likely cured, likeliest first; one at least."""
    chances, faults = assessment.posterior.fault_marginals(), assessment.model.faults
    mine = sorted((f for f in chances if faults[f].repair == repair), key=lambda f: (-chances[f], f))
    return tuple(f for f in mine if chances[f] >= _SURE) or tuple(mine[:1])


@dataclass(frozen=True)
class RootCauses:
    """What is left to find once the complaint is gone.

    Attributes:
        assessment: the case, its last repair a cure.
        options: which readings can be taken now.
    """

    assessment: Assessment
    options: Options

    def reading(self, put_off: Collection[str] = ()) -> str | None:
        """The next reading that tells why the cured fault came about; None when nothing is left to ask."""
        read = {taken.measurement.id for taken in self.assessment.taken}
        open_still = (m for m in self._reasons if m.id not in read and m.id not in put_off)
        return next((m.id for m in open_still if self.options.can_take(m)), None)

    def repair(self) -> str | None:
        """The repair that a reading outside its limit asks for; None where all that was read is good."""
        done = {repair.repair for repair in self.assessment.repairs}
        kb = self.assessment.model.kb
        for measurement in self._reasons:
            if self._fails(measurement):
                repairs = (f.repair for f in kb.faults.values() if f.proof == measurement.id)
                found = next((repair for repair in repairs if repair not in done), None)
                if found is not None:
                    return found
        return None

    @cached_property
    def _reasons(self) -> tuple[Measurement, ...]:
        """Readings that prove the faults behind those which were cured; what shows the complaint left out."""
        assessment, found = self.assessment, dict[str, Measurement]()
        for done in assessment.repairs:
            for fault in cured_faults(assessment, done.repair):
                for behind in assessment.model.faults[fault].leads_to:
                    proof = assessment.model.kb.faults[behind].proof
                    known = assessment.model.measurements.get(proof or "")
                    if known is not None and not assessment.shows(known):
                        found[known.id] = known
        return tuple(found.values())

    def _fails(self, measurement: Measurement) -> bool:
        """Did its latest take stand outside the limit?"""
        taken = [t for t in self.assessment.taken if t.measurement is measurement]
        if not taken:
            return False
        latest = max(taken, key=lambda t: t.repair_epoch)
        facts = self.assessment.context(latest.repair_epoch, latest.symptom).facts
        band = facts.bands.get(measurement.id)
        return band is not None and against_limit(measurement, facts, band) == "fail"
