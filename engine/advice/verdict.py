"""What to do now: measure, repair, watch, stuck or stop.

By expected cost (Kadane & Simon 1977; Heckerman, Breese & Rommelse 1995): a reading is taken while it
saves more minutes than it takes; otherwise the repair is made that is likeliest for its minutes. Work that
undoes nothing needs no more than that. A part is condemned on proof only: likely enough, and seen by a
reading that was taken twice or is borne out by another, unless the part costs less than the proof.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from crankpath.engine.advice.leading_hypotheses import LeadingHypotheses
from crankpath.engine.advice.options import Options
from crankpath.engine.advice.proof import LIKELIER_THAN_NOT, Proof
from crankpath.engine.advice.root_causes import RootCauses
from crankpath.engine.advice.suggestions import Suggestion, Suggestions
from crankpath.engine.advice.waiting.watch import Watch, Watcher
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.conflict import most_surprising, residuals
from crankpath.engine.knowledge.records import Measurement, Repair, Settings
from crankpath.engine.machine.safety import Stop


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
    leading: LeadingHypotheses
    suggestions: Suggestions
    root_causes: RootCauses
    repair_chances: dict[str, float]
    repair_order: tuple[str, ...]
    meters: int = 2

    @cached_property
    def _proof(self) -> Proof:
        return Proof(self.assessment, self.options, self.suggestions, self.leading.repair_costs)

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
            if not self._undoes_nothing(repair):
                due = self._proof.due(repair, chance)
                if due is not None:
                    return self._next(due)
            return self._repair(repair, chance, "proven to the level the knowledge base asks for")
        best = self.suggestions.best
        if best is not None:
            return self._next(best)
        if self._watch_best is not None and self._watch_best.saves > 0.0:
            return self._watch(self._watch_best.measurements)
        if self.options.withheld:
            return self._where_more_is_withheld()
        return self._without_reading(unlisted)

    def _where_more_is_withheld(self) -> Verdict:
        """The reading or the repair that ends the stops; else what must happen first."""
        kb, withheld = self.assessment.model.kb, self.options.withheld
        lifting = self.options.lifting
        if lifting is not None:
            return self._ask((lifting.id,), withheld[0].text)
        repair, chance = self._likeliest()
        if (
            repair is not None
            and chance >= self._settings["worth_trying"]
            and set(withheld).isdisjoint(self.options.guard.after(kb.repairs[repair]).stops)
        ):
            telling = max(self.suggestions.new, key=lambda s: s.bits, default=None)
            doubted = chance < self._settings["likely_enough"] and not self._undoes_nothing(repair)
            if doubted and telling is not None and telling.bits > self._settings["bits_floor"]:
                suspected = "no part is replaced on suspicion while something can still be read"
                return self._measure(telling, suspected)
            return self._repair(repair, chance, "it ends what keeps further readings from being taken")
        return self._stop(*withheld)

    def _next(self, best: Suggestion) -> Verdict:
        """Take the reading; with the meters left on where only a failure makes it worth taking."""
        measurement = self.assessment.model.measurements[best.measurement]
        waits = self.assessment.intermittent and self.assessment.shows(measurement) and self.assessment.taken
        watched = measurement in self.options.to_watch or self._read_since(measurement)
        if not waits or not watched:
            return self._measure(best)
        names = self._watch_best.measurements if self._watch_best else ()
        if best.measurement not in names and self._read_since(measurement):
            names = (best.measurement, *names)[: self.meters]
        return self._watch(names or (best.measurement,))

    @cached_property
    def _watch_best(self) -> Watch | None:
        """What to leave on where it comes and goes: the meters that tell most at the next failure."""
        if not self.assessment.intermittent or not self.assessment.taken:
            return None
        watches = Watcher(self.assessment, self.options, self.leading).best(self.meters)
        return watches[0] if watches else None

    def _watch(self, names: tuple[str, ...]) -> Verdict:
        """Leave the meters on, and see what can be seen without one."""
        repair, chance = self._likeliest()
        well = self.assessment.model.kb.about.goes_well
        because = f"it {well} now: only what is read when it fails tells what is wrong"
        return Verdict("watch", names[0], repair, self.faults(repair), chance, because, None, names)

    def _without_reading(self, unlisted: float) -> Verdict:
        """No reading is worth its minutes: cheap work is tried, a part is not condemned on suspicion."""
        for repair in self.repair_order:
            chance = self.repair_chances[repair]
            if self._undoes_nothing(repair) and chance > self._settings["worth_trying"]:
                return self._repair(repair, chance, "trying it costs less than proving it")
            if self._undoes_nothing(self._due(repair).id) and chance > LIKELIER_THAN_NOT:
                return self._repair(repair, chance, "")
        likeliest, chance = self._likeliest()
        if likeliest is not None and chance > unlisted and chance >= self._settings["likely_enough"]:
            return self._repair(likeliest, chance, "no reading left can tell enough to be worth its minutes")
        alone = self._decided_by_one(likeliest) if likeliest and chance > LIKELIER_THAN_NOT else None
        return alone or self._stuck(unlisted)

    def _undoes_nothing(self, repair: str) -> bool:
        entry = self.assessment.model.kb.repairs[repair]
        return entry.parts_cost <= self._settings["cheap_parts"]

    def _likeliest(self) -> tuple[str | None, float]:
        if not self.repair_chances:
            return None, 0.0
        best = max(self.repair_chances, key=lambda repair: (self.repair_chances[repair], repair))
        return best, self.repair_chances[best]

    # -- after a cure -----------------------------------------------------------------

    def _afterwards(self) -> Verdict | None:
        """Cured: what tells why it came to that, and what that asks for."""
        repairs = self.assessment.repairs
        if not repairs or not repairs[-1].cured:
            return None
        reading, repair = self.root_causes.reading(), self.root_causes.repair()
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
                return self._ask((measurement.id,), "what it does now, after the repair, tells what is left")
        return None

    def _does_not_add_up(self) -> Verdict | None:
        """Readings of one sum that cannot all be true: the likeliest to be wrong is taken once more."""
        for residual in residuals(self.assessment):
            suspect = self.options.taken.get(residual.suspect)
            if suspect is None or suspect not in residual.readings or self.options.taken_again(suspect):
                continue
            label = suspect.measurement.label
            because = f"readings of one sum do not fit; {label} is the likeliest of them to be wrong"
            return self._ask((residual.suspect,), because, again=True)
        return None

    def _decided_by_one(self, repair: str) -> Verdict | None:
        """The reading, taken once, that alone decides for a repair: it is taken again first."""
        name = self._proof.alone(repair)
        if name is None:
            return None
        label = self.assessment.model.measurements[name].label
        because = f"{label} alone decides it: taken once more it is proof, before the part is replaced"
        return self._ask((name,), because, repair, again=True)

    def _read_since(self, measurement: Measurement) -> bool:
        now = self.assessment.repair_epoch
        return any(t.measurement is measurement and t.repair_epoch == now for t in self.assessment.taken)

    def _ask(
        self, names: tuple[str, ...], because: str, repair: str | None = None, again: bool = False
    ) -> Verdict:
        """Take these readings, for a repair or for the likeliest one."""
        repair = repair or self._likeliest()[0]
        chance = self.repair_chances.get(repair, 0.0) if repair else 0.0
        return Verdict("measure", names[0], repair, self.faults(repair), chance, because, None, names, again)

    def _measure(self, best: Suggestion, because: str = "") -> Verdict:
        """Take a reading, with what goes with it; because it saves minutes or proves, if nothing else."""
        label = self.assessment.model.measurements[best.measurement].label
        saves = f"{label} is expected to save {best.saves:.0f} minutes beyond the {best.minutes:g} it takes"
        if best.again:
            saves = f"{label} taken once more proves the part before it is replaced"
        together = dict.fromkeys((best.measurement, *self.suggestions.with_it(best), *self._left_on(best)))
        return self._ask(tuple(together), because or saves, again=best.again)

    def _left_on(self, best: Suggestion) -> tuple[str, ...]:
        """The meters that stay on while something else is tried at a failure: both are seen at one crank."""
        waits = self.assessment.shows(self.assessment.model.measurements[best.measurement])
        return self._watch_best.measurements if waits and self._watch_best else ()

    def _repair(self, repair: str, chance: float, why: str) -> Verdict:
        """The repair; if it was made before, or what it needs was, first what a reading shows since."""
        entry, prepares = self._due(repair), None
        again = self._proof.shown_again(repair)
        if again is not None:
            return self._measure(again)
        alone = None if self._undoes_nothing(repair) else self._decided_by_one(repair)
        if alone is not None:
            return alone
        if entry.id != repair:
            prepares, why = repair, self.assessment.model.kb.repairs[repair].needs_because
            told_by = self._told_by(repair)
            if told_by is not None:
                return self._ask((told_by,), why, repair)
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

    def _told_by(self, repair: str) -> str | None:
        """The reading that tells whether what a repair needs holds, if it can be taken and never was."""
        model = self.assessment.model
        name = model.kb.repairs[repair].told_by
        if name not in model.measurements or self.assessment.standing.facts.known(name):
            return None
        return name if self.options.can_take(model.measurements[name]) else None

    def _stop(self, *forbidden: Stop) -> Verdict:
        because = " ".join(dict.fromkeys(stop.text for stop in forbidden))
        return Verdict("stop", None, None, (), 1.0, because)

    def _stuck(self, unlisted: float) -> Verdict:
        if self.options.withheld:
            return self._where_more_is_withheld()
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
