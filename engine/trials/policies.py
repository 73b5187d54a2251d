"""What decides in a trial: the advice, and two plain ways of working to compare it with."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

from crankpath.engine.advice.advisor import Advisor, Verdict
from crankpath.engine.cases.case import Case
from crankpath.engine.inference.entries import Repaired
from crankpath.engine.trials.trial import TrialStep

Deciding = Callable[[Case], Verdict]


def one_step(case: Case) -> Verdict:
    """The verdict as the shell shows it."""
    return case.verdict()


def one_ahead(case: Case) -> Verdict:
    """The verdict, but with the reading that saves most by itself: shows what a second one ahead gains."""
    verdict, suggestions = case.verdict(), case.suggestions()
    if verdict.action != "measure" or not suggestions or suggestions[0].saves <= 0.0:
        return verdict
    name = suggestions[0].measurement
    return replace(verdict, measurement=name, together=(name,))


@dataclass(frozen=True)
class Advice:
    """Does what the verdict says; when stuck, retakes once what it is told to, then calls for help."""

    decide: Deciding = one_step
    _retaken: set[str] = field(default_factory=set)

    def next(self, case: Case) -> TrialStep:
        """The verdict as a step."""
        verdict = self.decide(case)
        if verdict.action == "repair":
            prepares = verdict.prepares is not None
            return TrialStep("repair", verdict.repair, verdict.probability, prepares=prepares)
        if verdict.action == "watch":
            return TrialStep("watch", minutes=_minutes(case, verdict.together), together=verdict.together)
        name = verdict.measurement
        if name is None or (verdict.action == "stuck" and name in self._retaken):
            return TrialStep("stop")
        if verdict.action == "stuck":
            self._retaken.add(name)
        together = verdict.together or (name,)
        return TrialStep("measure", name, minutes=_minutes(case, together), together=together)

    def afterwards(self, case: Case) -> TrialStep:
        """What tells why it came to that, what that asks for, or nothing more."""
        after = case.advisor.afterwards
        reading, repair = after.reading(), after.repair()
        if reading is not None:
            return TrialStep("measure", reading, minutes=_minutes(case, (reading,)))
        return TrialStep("stop") if repair is None else TrialStep("repair", repair)


@dataclass(frozen=True)
class WithoutMeasuring:
    """Repairs by falling prior chance per minute, given the complaint only."""

    def next(self, case: Case) -> TrialStep:
        """The next untried repair."""
        advisor = case.advisor
        done = {entry.repair for entry in case.entries if isinstance(entry, Repaired)}
        for repair in advisor.repair_order:
            if repair not in done:
                return TrialStep("repair", repair, advisor.repair_chances.get(repair))
        return TrialStep("stop")

    def afterwards(self, case: Case) -> TrialStep:
        """It looks no further."""
        del case
        return TrialStep("stop")


def _minutes(case: Case, names: Iterable[str]) -> float:
    advisor: Advisor = case.advisor
    return advisor.minutes(*(case.assessment.model.measurements[name] for name in names))
