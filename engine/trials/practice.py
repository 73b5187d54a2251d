"""Practice: a fault hidden in a solved machine, readings for the asking, every minute counted."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from crankpath.engine.advice.explain import Reason
from crankpath.engine.cases.case import Case
from crankpath.engine.errors import DoubtfulReading
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.machine import Machine
from crankpath.engine.trials.policies import Advice
from crankpath.engine.trials.trial import TrialOutcome, read_once, run_trial


@dataclass(frozen=True, slots=True)
class ShownReading:
    """What the learner sees for a reading; value None: it cannot be taken on this machine."""

    measurement: str
    value: float | str | None
    symptom: bool
    minutes: float


@dataclass(frozen=True, slots=True)
class PracticeResult:
    """The end: was the repair right, the truth, and what the advice would have done."""

    named: str
    right: bool
    truth: tuple[str, ...]
    minutes: float
    shown: tuple[ShownReading, ...]
    advice: TrialOutcome
    reasons: tuple[Reason, ...]


class Practice:
    """One hidden machine.

    Args:
        kb: the knowledge base, for minutes and repairs.
        machine: with its fault.
        seed: of meter error and of whether an intermittent fault shows.
    """

    def __init__(self, kb: Knowledge, machine: Machine, seed: int) -> None:
        self.kb = kb
        self._machine = machine
        self._rng = Random(f"{seed}/practice")
        self._seed = seed
        self.case = Case(kb, machine.equipment)
        self.shown: list[ShownReading] = []
        self.case.record("occurrence", "intermittent" if machine.intermittent else "every_time")
        self.behaviour = machine.behaviour()
        self.case.record("crank_behaviour", self.behaviour)

    @property
    def minutes(self) -> float:
        """Minutes spent on readings and their set-up."""
        return sum(shown.minutes for shown in self.shown)

    def ask(self, measurement: str) -> ShownReading:
        """Take a reading; it costs its minutes, and set-up that is not yet made.

        Raises:
            UnknownName, CaseError: there is no such reading, or not on this machine.
        """
        self.case.predictions(measurement)  # refuses a name that is not there
        entry = self.case.assessment.model.measurements[measurement]
        minutes = self.case.advisor.minutes(entry)
        value, symptom = read_once(self.case, self._machine, measurement, self._rng)
        if value is None:
            self.case.cannot(measurement)
        else:
            try:
                self.case.record(measurement, value, symptom=symptom)
            except DoubtfulReading:
                minutes = entry.minutes  # a meter over its range shows nothing to record
        shown = ShownReading(measurement, value, symptom, minutes)
        self.shown.append(shown)
        return shown

    def name(self, fault: str) -> PracticeResult:
        """Name the cause; the practice ends.

        Raises:
            UnknownName: there is no such fault.
        """
        reasons = self.case.why(fault)
        truth = tuple(sorted(self._machine.faults))
        repairs = {self.kb.faults[known].repair for known in truth}
        right = self.kb.faults[fault].repair in repairs
        advice = run_trial(self.kb, self._machine, Advice(), Random(f"{self._seed}/practice"))
        telling = self.case.why(truth[0]) if truth else reasons
        return PracticeResult(fault, right, truth, self.minutes, tuple(self.shown), advice, telling)
