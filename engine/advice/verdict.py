"""What to do now: measure, repair, watch, stuck or stop.

By expected cost (Kadane & Simon 1977; Heckerman, Breese & Rommelse 1995): a reading is taken while it
saves more minutes than it takes; otherwise the repair is made that is likeliest for its minutes. Work that
undoes nothing needs no more than that. A part is condemned on proof only: likely enough, and seen by a
reading that was taken twice or is borne out by another, unless the part costs less than the proof.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from crankpath.engine.advice.afterwards import Afterwards
from crankpath.engine.advice.leading import Leading
from crankpath.engine.advice.options import Options
from crankpath.engine.advice.suggestions import Suggestion, Suggestions
from crankpath.engine.advice.watch import Watcher
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.conflict import most_surprising, residuals
from crankpath.engine.inference.evidence_item import EvidenceItem
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.records import Measurement, Repair, Settings
from crankpath.engine.machine.safety import Stop

_LIKELIER_THAN_NOT = 0.5
_BEARS_OUT = 3.0  # times the odds that a reading must make of a repair to bear it out


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to do now.

    action: measure, repair, watch, stuck or stop. measurement: the reading to take (or retake). repair
    and faults: the repair and the faults it cures that are likely here. probability: that
    this repair is needed; for stuck, that nothing listed is at fault. because: for stop, what forbids
    to go on, and what must happen first. prepares: the repair that this one has to come before.
    together: for measure and watch, every reading to take with it, itself first. again: it was taken
    before, and a second take decides. would_help: for stuck, readings that would tell more if they could
    be taken.
    """

    action: str
    measurement: str | None
    repair: str | None
    faults: tuple[str, ...]
    probability: float
    because: str
    prepares: str | None = None
    together: tuple[str, ...] = ()
    again: bool = False
    would_help: tuple[str, ...] = ()


@dataclass(frozen=True)
class Decision:
    """From chances and worths to a verdict.

    Attributes:
        repair_chances: chance that each repair is (still) needed.
        repair_order: the repairs by falling chance per minute wasted.
        meters: how many can be left connected.
    """

    assessment: Assessment
    options: Options
    leading: Leading
    suggestions: Suggestions
    repair_chances: dict[str, float]
    repair_order: tuple[str, ...]
    meters: int = 2

    @property
    def _settings(self) -> Settings:
        return self.assessment.model.kb.settings

    def verdict(self) -> Verdict:
        """Measure this next, repair this, stuck, or stop."""
        if self.options.guard.everything:
            return self._stop(*self.options.guard.everything)
        afterwards = self._afterwards()
        if afterwards is not None:
            return afterwards
        look = self._look_again()
        if look is not None:
            return look
        wrong = self._does_not_add_up()
        if wrong is not None:
            return wrong
        unlisted = self.assessment.posterior.unlisted
        if unlisted > self._settings["stuck_at"]:
            return self._stuck(unlisted)
        repair, chance = self._likeliest()
        if repair is not None and chance >= self._settings["proven_at"]:
            proof = self._still_to_prove(repair, chance)
            return proof or self._repair(repair, chance, "proven to the level the knowledge base asks for")
        best = self.suggestions.best
        if best is not None and self._waits_for_failure(best):
            return self._watch(best)
        if best is not None:
            return self._measure(best)
        if self.options.withheld:
            return self._where_more_is_withheld(repair, chance)
        return self._without_reading(unlisted)

    def _where_more_is_withheld(self, repair: str | None, chance: float) -> Verdict:
        """The reading or the repair that ends the stops; else what must happen first."""
        kb, withheld = self.assessment.model.kb, self.options.withheld
        lifting = self.options.lifting
        if lifting is not None:
            faults, because = self.faults(repair), withheld[0].text
            return Verdict("measure", lifting.id, repair, faults, chance, because, None, (lifting.id,))
        if (
            repair is not None
            and chance >= self._settings["worth_trying"]
            and set(withheld).isdisjoint(self.options.guard.after(kb.repairs[repair]).stops)
        ):
            return self._repair(repair, chance, "it ends what keeps further readings from being taken")
        return self._stop(*withheld)

    def _waits_for_failure(self, best: Suggestion) -> bool:
        """Is the best reading one that only a failure makes worth taking, on a machine that works well?"""
        measurement = self.assessment.model.measurements[best.measurement]
        waits = self.assessment.intermittent and self.assessment.shows(measurement)
        if not waits or not self.assessment.taken:
            return False
        return measurement in self.options.to_watch or self._read_since(measurement)

    def _watch(self, best: Suggestion) -> Verdict:
        """Leave the meters on what tells most together at the next failure."""
        watches = Watcher(self.assessment, self.options, self.leading).best(self.meters, most=1)
        if not watches:
            return self._measure(best)
        repair, chance = self._likeliest()
        names = watches[0].measurements
        if self._read_since(self.assessment.model.measurements[best.measurement]):
            names = tuple(dict.fromkeys((*names, best.measurement)))
        well = self.assessment.model.kb.about.goes_well
        because = f"it {well} now: only what is read when it fails tells what is wrong"
        return Verdict("watch", names[0], repair, self.faults(repair), chance, because, None, names)

    def _without_reading(self, unlisted: float) -> Verdict:
        """No reading is worth its minutes: cheap work is tried, a part is not condemned on suspicion."""
        for repair in self.repair_order:
            chance = self.repair_chances[repair]
            if self._undoes_nothing(repair) and chance > self._settings["worth_trying"]:
                return self._repair(repair, chance, "trying it costs less than proving it")
            if self._undoes_nothing(self._due(repair).id) and chance > _LIKELIER_THAN_NOT:
                return self._repair(repair, chance, "")
        likeliest, chance = self._likeliest()
        if likeliest is not None and chance > unlisted and chance >= self._settings["likely_enough"]:
            return self._repair(likeliest, chance, "no reading left can tell enough to be worth its minutes")
        return self._stuck(unlisted)

    def _undoes_nothing(self, repair: str) -> bool:
        entry = self.assessment.model.kb.repairs[repair]
        return entry.parts_cost <= self._settings["cheap_parts"]

    def _likeliest(self) -> tuple[str | None, float]:
        if not self.repair_chances:
            return None, 0.0
        best = max(self.repair_chances, key=lambda repair: (self.repair_chances[repair], repair))
        return best, self.repair_chances[best]

    # -- proof ------------------------------------------------------------------------

    def _shown_again(self, repair: str, since: int) -> Verdict | None:
        """What told most of what a repair cures, once more, if nothing did after that many repairs."""
        if any(t.repair_epoch >= since and self._sees(t.measurement, repair) for t in self.assessment.taken):
            return None
        measurements = self.assessment.model.measurements
        telling = [s for s in self.suggestions.new if self._sees(measurements[s.measurement], repair)]
        cost = self.leading.repair_costs.minutes_of(repair)
        affordable = [s for s in telling if s.minutes < cost]
        if not affordable:
            return None
        said = self._odds_factors
        return self._measure(
            max(affordable, key=lambda s: (said.get((s.measurement, repair), 1.0), s.bits, s.measurement))
        )

    def _sees(self, measurement: Measurement, repair: str) -> bool:
        """Does a reading other than the complaint see what the repair takes away?"""
        model = self.assessment.model
        if measurement in model.symptoms:
            return False
        table = model.table(measurement.id, self.assessment.now.facts)
        return not model.repaired_by[repair].isdisjoint(table.effects)

    def _made_after(self, *repairs: str | None) -> int:
        """How many repairs there were when one of these was last made; 0 if none was."""
        made = (epoch for epoch, done in enumerate(self.assessment.repairs, 1) if done.repair in repairs)
        return max(made, default=0)

    def _still_to_prove(self, repair: str, chance: float) -> Verdict | None:
        """The reading that has to bear out a part before it is condemned, if one is due."""
        if self._undoes_nothing(repair) or self._borne_out(repair):
            return None
        wasted = (1.0 - chance) * self.leading.repair_costs.minutes_of(repair)
        retakes = [s for s in self.suggestions.retakes if s.measurement in self._speaking(repair)]
        new = [s for s in self.suggestions.new if s.bits > 0.0 and s.saves > 0.0]
        affordable = [s for s in (*retakes, *new) if s.minutes < wasted]
        if not affordable:
            return None
        best = max(affordable, key=lambda s: (s.saves, s.measurement))
        return self._measure(best)

    def _borne_out(self, repair: str) -> bool:
        """Is it seen by a reading taken twice, or by two different readings?"""
        speaking = [piece for piece in self.assessment.used if self._speaks(piece, repair)]
        twice = any(piece.taken is not None and piece.taken.repeats > 1 for piece in speaking)
        return twice or len(speaking) > 1

    def _speaking(self, repair: str) -> frozenset[str]:
        return frozenset(p.evidence.name for p in self.assessment.used if self._speaks(p, repair))

    def _speaks(self, piece: EvidenceItem, repair: str) -> bool:
        """Does a reading beside the complaint make the repair much likelier?"""
        if piece.taken is None or piece.taken.measurement in self.assessment.model.symptoms:
            return False
        return self._odds_factors.get((piece.evidence.name, repair), 1.0) >= _BEARS_OUT

    @cached_property
    def _odds_factors(self) -> dict[tuple[str, str], float]:
        """(reading, likeliest repair) -> what the reading made of its odds, all others being there."""
        repair, chance = self._likeliest()
        if repair is None:
            return {}
        found = {}
        elements = self.assessment.model.repaired_by[repair]
        for piece, others in zip(self.assessment.used, self.assessment.without, strict=True):
            without = min(others.chances_of(elements), 1.0 - 1e-12)
            found[(piece.evidence.name, repair)] = _odds(chance) / max(_odds(without), 1e-12)
        return found

    # -- after a cure -----------------------------------------------------------------

    def _afterwards(self) -> Verdict | None:
        """Cured: what tells why it came to that, and what that asks for."""
        repairs = self.assessment.repairs
        if not repairs or not repairs[-1].cured:
            return None
        after = Afterwards(self.assessment, self.options)
        reading, repair = after.reading(), after.repair()
        if reading is not None:
            because = "it tells what brought the fault about, so that it does not come back"
            return Verdict("measure", reading, None, (), 0.0, because, None, (reading,))
        if repair is None:
            return None
        return self._repair(repair, self.repair_chances.get(repair, 0.0), "it brought the fault about")

    # -- the verdicts -----------------------------------------------------------------

    def _look_again(self) -> Verdict | None:
        """After a repair that did not cure: first what the machine does now."""
        assessment = self.assessment
        if not assessment.repairs or assessment.repairs[-1].cured is not False:
            return None
        for measurement in assessment.model.symptoms:
            if not self._read_since(measurement) and self.options.can_take(measurement):
                repair, chance = self._likeliest()
                because = "what it does now, after the repair, tells what is left"
                faults = self.faults(repair)
                together = (measurement.id,)
                return Verdict("measure", measurement.id, repair, faults, chance, because, None, together)
        return None

    def _does_not_add_up(self) -> Verdict | None:
        """Readings of one sum that cannot all be true: the likeliest to be wrong is taken once more."""
        for residual in residuals(self.assessment):
            suspect = self.options.taken.get(residual.suspect)
            if suspect is None or suspect not in residual.readings or self._taken_again(suspect):
                continue
            repair, chance = self._likeliest()
            name, label = residual.suspect, suspect.measurement.label
            because = f"readings of one sum do not fit; {label} is the likeliest of them to be wrong"
            return Verdict("measure", name, repair, self.faults(repair), chance, because, None, (name,), True)
        return None

    def _taken_again(self, taken: PooledReading) -> bool:
        """True where a second take is there, or would have to wait for the next failure."""
        waits = self.assessment.intermittent and self.assessment.shows(taken.measurement)
        return waits or taken.repeats > 1 or bool(taken.set_aside)

    def _read_since(self, measurement: Measurement) -> bool:
        now = self.assessment.repair_epoch
        return any(t.measurement is measurement and t.repair_epoch == now for t in self.assessment.taken)

    def _measure(self, best: Suggestion) -> Verdict:
        repair, chance = self._likeliest()
        label = self.assessment.model.measurements[best.measurement].label
        because = f"{label} is expected to save {best.saves:.0f} minutes beyond the {best.minutes:g} it takes"
        if best.again:
            because = f"{label} taken once more proves the part before it is replaced"
        together = (best.measurement, *self.suggestions.with_it(best))
        faults = self.faults(repair)
        return Verdict(
            "measure", best.measurement, repair, faults, chance, because, None, together, best.again
        )

    def _repair(self, repair: str, chance: float, why: str) -> Verdict:
        """The repair; if it was made before, or what it needs was, first what a reading shows since."""
        entry, prepares = self._due(repair), None
        since = self._made_after(repair, self.assessment.model.kb.repairs[repair].instead)
        shown = self._shown_again(repair, since) if since else None
        if shown is not None:
            return shown
        if entry.id != repair:
            prepares, why = repair, self.assessment.model.kb.repairs[repair].needs_because
        forbidden = self.options.guard.repair(entry)
        if forbidden:
            return self._stop(*forbidden)
        because = f"{entry.label}: {why}"
        return Verdict("repair", None, entry.id, self.faults(repair), chance, because, prepares)

    def _due(self, repair: str) -> Repair:
        """The repair, or the one that has to come before it."""
        repairs = self.assessment.model.kb.repairs
        entry = repairs[repair]
        ready = entry.needs is None or entry.needs.holds(self.assessment.standing.facts) is True
        return entry if ready or entry.instead is None else repairs[entry.instead]

    def _stop(self, *forbidden: Stop) -> Verdict:
        because = " ".join(dict.fromkeys(stop.text for stop in forbidden))
        return Verdict("stop", None, None, (), 1.0, because)

    def _stuck(self, unlisted: float) -> Verdict:
        if self.options.withheld:
            return self._where_more_is_withheld(*self._likeliest())
        if unlisted > self._settings["stuck_at"]:
            retake = most_surprising(self.assessment)
            because = "nothing this knowledge base lists explains the readings"
            if retake is not None:
                label = self.assessment.model.kb.measurements[retake].label
                because += f"; take {label} again first: it fits the other readings worst"
            return Verdict("stuck", retake, None, (), unlisted, because)
        repair, chance = self._likeliest()
        helps = self.suggestions.would_help
        because = "nothing that can be done here tells more"
        if helps:
            labels = " or ".join(self.assessment.model.measurements[name].label for name in helps)
            because += f"; {labels} would"
        return Verdict("stuck", None, repair, self.faults(repair), chance, because, would_help=helps)

    def faults(self, repair: str | None) -> tuple[str, ...]:
        """The faults the repair cures that are there with some chance, likeliest first."""
        if repair is None:
            return ()
        model, repaired = self.assessment.model, self.assessment.repair_states[-1]
        chances: dict[str, float] = {}
        marginals = self.assessment.posterior.marginals()
        gone = frozenset() if repaired.symptom_persists else repaired.elements
        for index in model.repaired_by[repair] - gone:
            fault = model.elements[index].fault
            chances[fault] = chances.get(fault, 0.0) + marginals[index]
        return tuple(sorted((f for f in chances if chances[f] > 0.0), key=lambda f: (-chances[f], f)))


def _odds(chance: float) -> float:
    return chance / max(1.0 - chance, 1e-12)
