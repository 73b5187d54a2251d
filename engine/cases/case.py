"""A case: a machine, what was read on it, and what follows. The library's face.

>>> from crankpath.engine import Case, load_knowledge
>>> case = Case(load_knowledge(), equipment={"system_voltage": 12})
>>> _ = case.record("crank_behaviour", "slow")
>>> case.verdict().action
'measure'
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from crankpath.engine.advice import explain
from crankpath.engine.advice.advisor import Advisor, Suggestion, Verdict
from crankpath.engine.advice.ahead.progress import Progress
from crankpath.engine.advice.guard import Guard
from crankpath.engine.advice.legs_report import (
    BatteryReport,
    LegReport,
    RepairGain,
    battery_report,
    leg_splits,
    repair_gain,
)
from crankpath.engine.advice.waiting.provoke import Provocation, provocations
from crankpath.engine.advice.waiting.watch import Watch
from crankpath.engine.bayes.posterior import Posterior
from crankpath.engine.errors import CaseError, UnknownName
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.conflict import Conflict, Residual, conflict, residuals
from crankpath.engine.inference.entries import CannotTake, Entry, Reading, Repaired, Tries
from crankpath.engine.inference.failure_rate import CrankProof, crank_proof
from crankpath.engine.inference.model import model_of
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.problems import near
from crankpath.engine.knowledge.records import Knowledge, Measurement
from crankpath.engine.machine.equipment import complete
from crankpath.engine.typed.reading import asked_of, understand

MOST_TRIES: Final = 1_000_000
"""More tries at the key than these nobody made."""


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause and its chance now; ``fault`` None is something not listed."""

    fault: str | None
    repair: str | None
    probability: float
    _posterior: Posterior | None = field(default=None, compare=False, repr=False)

    @property
    def bound(self) -> float:
        """By how much sets of faults too large to be listed can change the chance at most."""
        return 0.0 if self._posterior is None else self._posterior.bound


class Case:
    """One machine's case. Everything it answers is a function of its equipment and entries.

    Args:
        kb: the knowledge base.
        equipment: machine facts by id; what is left out has its default, or stays unknown.
        lacks: tools that are not at hand.
        round_trip: minutes from a question to its answer, where somebody far away takes the readings; it
            moves which readings are worth asking for, and which are asked for together.

    Raises:
        EquipmentError: an unknown machine fact, or a value that is not allowed.
    """

    def __init__(
        self,
        kb: Knowledge,
        equipment: Mapping[str, object] | None = None,
        lacks: frozenset[str] = frozenset(),
        round_trip: float = 0.0,
    ) -> None:
        self.kb = kb
        self.equipment: Mapping[str, FactValue] = complete(kb, equipment or {})
        self.lacks, self.round_trip = lacks, round_trip
        self._model = model_of(kb, self.equipment)
        self._entries: tuple[Entry, ...] = ()
        self._view = _View(Advisor(Assessment(self._model, ()), lacks, round_trip))

    @property
    def entries(self) -> tuple[Entry, ...]:
        """What was entered, in order."""
        return self._entries

    def _enter(self, entry: Entry) -> None:
        self._set((*self._entries, entry))

    def _set(self, entries: tuple[Entry, ...]) -> None:
        self._entries = entries
        self._view = _View(Advisor(Assessment(self._model, entries), self.lacks, self.round_trip))

    @property
    def next_crank(self) -> int:
        """A number for a crank that no reading has yet."""
        return 1 + max((e.crank or 0 for e in self._entries if isinstance(e, Reading)), default=0)

    def read(
        self, measurement: str, value: str | float, symptom: bool = True, cable: int = 1,
        crank: int | None = None,
    ) -> Reading:  # fmt: skip
        """Understand a reading without recording it.

        Raises:
            UnknownName: no such measurement.
            CaseError: it does not exist on this machine, or ``symptom`` is neither True nor False.
            ReadingError: the text cannot be understood; DoubtfulReading: it is not believable.
        """
        if symptom not in (True, False):
            raise CaseError("Say whether the complaint showed while it was read: symptom True or False.")
        entry = self._measurement(measurement)
        known = self._model.known
        facts = known if known.values.keys() >= asked_of(entry) else self._view.assessment.now.facts
        understood = understand(entry, value, facts)
        return Reading(
            measurement, understood.value, str(value), symptom, cable,
            understood.note, understood.spread, crank, understood.repeats,
        )  # fmt: skip

    def _measurement(self, name: str) -> Measurement:
        if name not in self.kb.measurements:
            raise UnknownName(
                f"There is no measurement '{name}'. {near(name, self.kb.measurements)}".rstrip()
            )
        if name not in self._model.measurements:
            label = self.kb.measurements[name].label
            raise CaseError(f"This machine has no {label} to read: its equipment says there is no such part.")
        return self._model.measurements[name]

    def record(
        self, measurement: str, value: str | float, symptom: bool = True, cable: int = 1,
        crank: int | None = None,
    ) -> Reading:  # fmt: skip
        """Record a reading: text as typed, or a number in the measurement's unit. Raises as `read`.

        Readings that were taken on the same crank get the same ``crank``, for instance `next_crank`.
        """
        reading = self.read(measurement, value, symptom, cable, crank)
        self._enter(reading)
        return reading

    def cannot(self, measurement: str) -> None:
        """There is no means to take this reading here."""
        self._measurement(measurement)
        self._enter(CannotTake(measurement))

    def tries(self, failures: int, of: int, waiting: bool = False) -> None:
        """Of so many tries at the key, so many failed; ``waiting``: made only to read a failure.

        Raises:
            CaseError: the numbers cannot be.
        """
        if not 0 <= failures <= of <= MOST_TRIES:
            raise CaseError(f"{failures} failures in {of} tries is impossible; write for example 2 of 10.")
        self._enter(Tries(failures, of, waiting))

    def repaired(self, repair: str, cured: bool | None = None) -> None:
        """That repair is done; ``cured`` False: the symptom is still there, True: it is gone."""
        if repair not in self.kb.repairs:
            raise UnknownName(f"There is no repair '{repair}'. {near(repair, self.kb.repairs)}".rstrip())
        self._enter(Repaired(repair, cured))

    def take_back(self, entry: Entry | int = -1) -> Entry:
        """Take an entry back (by itself or its place; the last by default): as if it had never been."""
        place = entry if isinstance(entry, int) else self._place(entry)
        try:
            gone = self._entries[place]
        except IndexError:
            raise CaseError("There is no such entry to take back.") from None
        kept = list(self._entries)
        del kept[place]
        self._set(tuple(kept))
        return gone

    def _place(self, entry: Entry) -> int:
        for place, known in enumerate(self._entries):
            if known is entry:
                return place
        return self._entries.index(entry) if entry in self._entries else len(self._entries)

    def what_if(self, measurement: str, value: str | float, symptom: bool = True) -> Case:
        """A copy of this case with one more reading; this one stays as it is."""
        reading = self.read(measurement, value, symptom)
        copy = object.__new__(Case)
        copy.__dict__.update(self.__dict__)
        copy._enter(reading)
        return copy

    @property
    def assessment(self) -> Assessment:
        """Readings, facts and evidence as the engine sees them."""
        return self._view.assessment

    @property
    def advisor(self) -> Advisor:
        """Worth of readings and the verdict, with what they rest on."""
        return self._view.advisor

    def causes(self) -> list[Cause]:
        """Every fault that can be here and *not listed*, likeliest first."""
        return list(self._view.causes)

    def suggestions(self) -> list[Suggestion]:
        """Readings that can still be taken, best first."""
        return list(self._view.advisor.suggestions)

    def verdict(self) -> Verdict:
        """What to do now: measure, repair, watch, stuck or stop."""
        return self._view.advisor.verdict

    def progress(self) -> Progress:
        """Readings and minutes expected until a repair is named, the advised reading included."""
        return self._view.advisor.progress

    def watch(self, meters: int = 2) -> list[Watch]:
        """What to leave connected until the next failure, for so many meters; best first."""
        return list(self._view.advisor.watch(meters))

    def watched(self, measurements: Iterable[str]) -> Watch | None:
        """What readings that are left connected tell at the next failure; None if none can be taken then."""
        return self._view.advisor.watched(tuple(measurements))

    def provoke(self) -> list[Provocation]:
        """Ways to bring on a fault that hides: what was told of first, then the safest and most telling."""
        return list(provocations(self.guard))

    def why(self, fault: str | None) -> tuple[explain.Reason, ...]:
        """What speaks for and against a cause, strongest first."""
        if fault is not None and fault not in self._model.faults:
            raise UnknownName(f"There is no fault '{fault}'. {near(fault, self._model.faults)}".rstrip())
        return explain.reasons(self.assessment, fault)

    def ruled_out(self) -> tuple[explain.RuledOut, ...]:
        """Faults the readings have ruled out, and by what."""
        return explain.ruled_out(self.assessment)

    @property
    def guard(self) -> Guard:
        """What may be offered now, and with which cautions."""
        return self._view.advisor.guard

    def stops(self) -> tuple[str, ...]:
        """Why some or all acts must not be done now; to be said before anything else."""
        return self.guard.reasons

    def predictions(self, measurement: str) -> tuple[explain.Prediction, ...]:
        """What the likeliest causes would make a reading show; none for one that must not be taken."""
        if self.guard.reading(self._measurement(measurement)):
            return ()
        return explain.predictions(self.assessment, measurement)

    def conflict(self) -> Conflict | None:
        """Readings that speak against each other, if they do."""
        return conflict(self.assessment)

    def residuals(self) -> tuple[Residual, ...]:
        """Sums of readings that do not add up."""
        return residuals(self.assessment)

    def warnings(self) -> list[str]:
        """Sentences about this case that the person must see, the reasons of stops first."""
        return list(self.guard.warnings)

    def leg_splits(self) -> tuple[LegReport, ...]:
        """Each leg read: cable as built, excess at joints, watts; or what is missing for that."""
        return leg_splits(self.assessment)

    def battery_report(self) -> BatteryReport | None:
        """The bank's internal resistance against its rating, where the readings tell it."""
        return battery_report(self.assessment)

    def repair_gain(self, repair: str | None = None) -> RepairGain | None:
        """Volts and speed that a repair gives back at least; by default the verdict's repair."""
        chosen = self.verdict().repair if repair is None else repair
        if chosen is None:
            return None
        if chosen not in self.kb.repairs:
            raise UnknownName(f"There is no repair '{chosen}'. {near(chosen, self.kb.repairs)}".rstrip())
        return repair_gain(self.assessment, chosen)

    def crank_proof(self) -> CrankProof | None:
        """Good cranks in a row that prove a repair, and the failure rate for which they do.

        None where the complaint is there at every try, or was met too seldom for any number to prove it.
        """
        try:
            return self._crank_proof() if self.assessment.intermittent else None
        except ValueError:
            return None

    def _crank_proof(self) -> CrankProof:
        settings = self.kb.settings
        prior = settings["failure_rate_prior_a"], settings["failure_rate_prior_b"]
        return crank_proof(self.assessment.complaint_tries, *prior, settings["proof_level"])

    def good_cranks_needed(self) -> int:
        """Good cranks in a row that prove a repair.

        Raises:
            ValueError: it failed too seldom for any number to prove it.
        """
        return self._crank_proof().cranks


class _View:
    """What follows from the entries, worked out once each."""

    def __init__(self, advisor: Advisor) -> None:
        self.assessment = advisor.assessment
        self.advisor = advisor

    @cached_property
    def causes(self) -> tuple[Cause, ...]:
        posterior, model = self.assessment.posterior, self.assessment.model
        found = [
            Cause(fault, model.faults[fault].repair, chance, posterior)
            for fault, chance in posterior.fault_marginals().items()
        ]
        found.append(Cause(None, None, posterior.unlisted, posterior))
        return tuple(sorted(found, key=lambda cause: (-cause.probability, cause.fault or "")))
