"""Advice on one assessment: what each repair costs, what is worth reading, what to do now."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from crankpath.engine.advice.ahead.progress import LookAhead, Progress
from crankpath.engine.advice.guard import Guard
from crankpath.engine.advice.leading_hypotheses import LeadingHypotheses
from crankpath.engine.advice.options import Options
from crankpath.engine.advice.root_causes import RootCauses
from crankpath.engine.advice.suggestions import Suggestion, Suggestions
from crankpath.engine.advice.value_of_information import Costs, by_rate
from crankpath.engine.advice.verdict import Decision, Verdict
from crankpath.engine.advice.waiting.watch import Watch, Watcher
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Measurement, Repair

__all__ = ["Advisor", "Suggestion", "Verdict"]


@dataclass(frozen=True)
class Advisor:
    """Advice on one assessment; everything is worked out once, on demand.

    Attributes:
        lacks: tools that the user does not have.
        round_trip: minutes from a question to its answer, where it goes by message.
    """

    assessment: Assessment
    lacks: frozenset[str] = frozenset()
    round_trip: float = 0.0

    @cached_property
    def guard(self) -> Guard:
        """Which acts no stop forbids now."""
        return Guard(self.assessment)

    @cached_property
    def options(self) -> Options:
        """Which readings can be taken now."""
        return Options(self.assessment, self.lacks, self.guard)

    @cached_property
    def costs(self) -> Costs:
        """What wrong repairs and help cost, from the knowledge base."""
        kb = self.assessment.model.kb
        wasted = {repair.id: self._wasted(repair) for repair in kb.repairs.values()}
        return Costs(wasted, kb.settings["help_minutes"])

    def _wasted(self, repair: Repair) -> float:
        """Minutes lost by a repair that was not needed.

        A part is money lost, and the customer is told. Cheap work on a machine that fails every time shows
        at the next crank what it was good for; where the fault comes and goes, or the battery is flat again
        in a week, the machine comes back.
        """
        settings = self.assessment.model.kb.settings
        shows = not self.assessment.intermittent and not repair.hides
        cheap = repair.parts_cost <= settings["cheap_parts"] and shows
        after = settings["trial_minutes"] if cheap else settings["comeback_minutes"]
        return repair.minutes + repair.parts_cost + after

    @property
    def facts_repaired(self) -> Facts:
        """The facts under which a reading proves a repair: the machine works as it should."""
        return self.assessment.context(self.assessment.repair_epoch, False).facts

    def proof_reading(self, repair: str) -> Measurement | None:
        """The reading that proves a repair once made: of the likeliest fault it cures, if it may be taken."""
        chances, model = self.assessment.posterior.fault_marginals(), self.assessment.model
        after = self.guard.after(model.kb.repairs[repair])
        for fault in sorted(chances, key=lambda fault: (-chances[fault], fault)):
            proof = model.measurements.get(model.faults[fault].proof or "")
            if model.faults[fault].repair == repair and proof is not None and not after.reading(proof):
                return proof
        return None

    @cached_property
    def repair_chances(self) -> dict[str, float]:
        """Chance that each repair is (still) needed; those without any are left out."""
        assessment = self.assessment
        return assessment.model.repair_chances(assessment.posterior, assessment.repair_states[-1])

    @cached_property
    def repair_order(self) -> tuple[str, ...]:
        """The repairs that may be needed, by falling chance per minute wasted."""
        return by_rate(self.repair_chances, self.costs)

    @cached_property
    def leading(self) -> LeadingHypotheses:
        """The likeliest hypotheses, which the worth of readings is worked out on."""
        return LeadingHypotheses.of(self.assessment, self.costs)

    @cached_property
    def afterwards(self) -> RootCauses:
        """What is left to find once the complaint is gone."""
        return RootCauses(self.assessment, self.options)

    @cached_property
    def _suggestions(self) -> Suggestions:
        return Suggestions(self.assessment, self.options, self.leading, self.round_trip)

    @property
    def suggestions(self) -> tuple[Suggestion, ...]:
        """Readings that can still be taken, best first: by the minutes each saves, its own taken off."""
        return self._suggestions.new

    def watch(self, meters: int) -> tuple[Watch, ...]:
        """What to leave connected until the next failure, for so many meters; best first."""
        return Watcher(self.assessment, self.options, self.leading).best(meters)

    def watched(self, names: tuple[str, ...]) -> Watch | None:
        """What these readings tell that are left connected; None where none of them tells any more."""
        return Watcher(self.assessment, self.options, self.leading).of(names)

    def can_take(self, measurement: Measurement) -> bool:
        """False for what cannot be taken here, is unsafe or pointless now, or is already known."""
        return self.options.can_take(measurement)

    def minutes(self, *measurements: Measurement) -> float:
        """Minutes to take readings together now; set-up that stands is already paid."""
        return self.options.minutes(*measurements)

    @cached_property
    def progress(self) -> Progress:
        """Readings and minutes expected until a repair is named; none where the verdict asks for none."""
        first = self.verdict.measurement if self.verdict.action == "measure" else None
        return LookAhead(self.options, self.leading, self._suggestions, first).progress

    @cached_property
    def verdict(self) -> Verdict:
        """Measure this next, repair this, stuck, or stop."""
        return Decision(
            self.assessment,
            self.options,
            self.leading,
            self._suggestions,
            self.afterwards,
            self.repair_chances,
            self.repair_order,
        ).verdict()
