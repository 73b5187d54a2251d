"""What may be offered on this machine now, and with which cautions: every outlet asks here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.knowledge.records import Measurement, Repair, Setup, Way
from crankpath.engine.machine.safety import (
    Stop,
    cautions_of_classes,
    forbidding,
    reading_forbidden,
    stops,
    ways_allowed,
)


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step of a repair. cautions: ids of those that come with it and stand before no earlier step."""

    text: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Guard:
    """Stops, allowed acts and cautions of one assessment.

    Attributes:
        done: a repair to be taken as made; what it puts an end to forbids nothing.
    """

    assessment: Assessment
    done: str = ""

    @cached_property
    def stops(self) -> tuple[Stop, ...]:
        """Every stop in force."""
        kb = self.assessment.model.kb
        found = stops(kb, self.assessment.standing)
        return tuple(s for s in found if not s.rule or self.done not in kb.facts[s.rule].until_repaired)

    @cached_property
    def reasons(self) -> tuple[str, ...]:
        """The reasons of the stops, each once: they come before anything else."""
        return tuple(dict.fromkeys(stop.text for stop in self.stops))

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """What the person must see: the stops first."""
        return tuple(dict.fromkeys((*self.reasons, *(r.text for r in self.assessment.now.warnings))))

    def reading(self, measurement: Measurement) -> tuple[Stop, ...]:
        """The stops that forbid a reading; empty if it may be taken."""
        model = self.assessment.model
        return reading_forbidden(model.kb, measurement, model.known, self.stops)

    def repair(self, repair: Repair) -> tuple[Stop, ...]:
        """The stops that forbid a repair as a whole."""
        return forbidding(self.assessment.model.kb, repair.does, self.stops)

    def after(self, repair: Repair) -> Guard:
        """The guard once that repair is done: what it puts an end to is over."""
        return Guard(self.assessment, repair.id)

    def steps(self, repair: Repair, faults: Iterable[str] = ()) -> tuple[WorkStep, ...]:
        """The steps of a repair; one that a stop still forbids then says so in its place."""
        kb, left = self.assessment.model.kb, self.after(repair).stops
        told = set(self.cautions_before(repair, faults))
        found: dict[str, WorkStep] = {}
        for step in repair.steps:
            forbidden = forbidding(kb, step.does, left)
            text = f"Not yet: {forbidden[0].text}" if forbidden else step.text
            due = () if forbidden else self._said(cautions_of_classes(kb, step.does))
            found.setdefault(text, WorkStep(text, tuple(c for c in due if c not in told)))
            told.update(due)
        return tuple(found.values())

    @cached_property
    def everything(self) -> tuple[Stop, ...]:
        """The stops that forbid every act: this machine is not to be touched here."""
        return forbidding(self.assessment.model.kb, (), self.stops)

    @cached_property
    def tries(self) -> tuple[Stop, ...]:
        """The stops that forbid a try at the key."""
        return tuple(dict.fromkeys(s for m in self.assessment.model.symptoms for s in self.reading(m)))

    def ways(self, setup: Setup) -> tuple[Way, ...]:
        """The ways of a set-up that this machine has and that nothing forbids."""
        model = self.assessment.model
        return ways_allowed(model.kb, setup, model.known, self.stops)

    def setups(self, measurement: Measurement) -> tuple[Setup, ...]:
        """All the work that a reading needs."""
        kb = self.assessment.model.kb
        names = (*kb.states[measurement.state].setups, *measurement.setups)
        return tuple(kb.setups[name] for name in dict.fromkeys(names))

    def cautions_of_reading(
        self, measurement: Measurement, told: frozenset[str] = frozenset(), made: frozenset[str] = frozenset()
    ) -> tuple[str, ...]:
        """Ids of the cautions that go with a reading now, the nearest to the hand first.

        Args:
            measurement: the reading.
            told: cautions that need not come again with the work before it.
            made: set-ups that are already made; their cautions came with them.
        """
        left = [setup for setup in self.setups(measurement) if setup.id not in made]
        of_work = [c for setup in left for c in self.cautions_of_setup(setup)]
        own = (*self.cautions_while_reading(measurement), *self._said(self.cautions_of_facts))
        return tuple(dict.fromkeys((*own, *(c for c in of_work if c not in told))))

    def cautions_of_setup(self, setup: Setup) -> tuple[str, ...]:
        """Ids of the cautions that go with a piece of work, by whichever way it is done here."""
        acts = (*setup.does, *(name for way in self.ways(setup) for name in way.does))
        return self._said([*setup.cautions, *cautions_of_classes(self.assessment.model.kb, acts)])

    def cautions_while_reading(self, measurement: Measurement) -> tuple[str, ...]:
        """Ids of the cautions that go with the reading itself, not with the work before it.

        What stays on while it is read, the leads of the meter, belongs to it.
        """
        kb = self.assessment.model.kb
        state = kb.states[measurement.state]
        stay = [name for setup in self.setups(measurement) if setup.stays_on for name in setup.does]
        of_acts = cautions_of_classes(kb, (*stay, *state.does, *measurement.does))
        return self._said([*state.cautions, *measurement.cautions, *of_acts])

    def cautions_of_watch(self, measurements: Iterable[Measurement]) -> tuple[str, ...]:
        """Ids of the cautions that go with leads left on until the machine fails, and with reading them then.

        The engine may start meanwhile: what keeps it from starting is no part of waiting.
        """
        kb, found = self.assessment.model.kb, list[str]()
        left_on = [hazard.id for hazard in kb.hazards.values() if hazard.left_on]
        for measurement in measurements:
            state = kb.states[measurement.state]
            setups = [kb.setups[name] for name in measurement.setups if kb.setups[name].stays_on]
            acts = (*left_on, *(n for s in setups for n in s.does), *state.does, *measurement.does)
            found += [*state.cautions, *measurement.cautions, *cautions_of_classes(kb, acts)]
            found += [caution for setup in setups for caution in setup.cautions]
        said = self._said([*found, *self.cautions_of_facts])
        return tuple(caution for caution in said if not kb.cautions[caution].in_the_shop)

    def cautions_before(self, repair: Repair, faults: Iterable[str] = ()) -> tuple[str, ...]:
        """Ids of the cautions to be seen before the first step of a repair of these faults."""
        kb = self.assessment.model.kb
        of_faults = [c for fault in faults for c in kb.faults[fault].cautions]
        of_acts = cautions_of_classes(kb, repair.does)
        return self._said([*repair.cautions, *of_faults, *of_acts, *self.cautions_of_facts])

    def cautions_of_repair(self, repair: Repair, faults: Iterable[str] = ()) -> tuple[str, ...]:
        """Ids of all cautions that go with a repair of these faults now, in the order of its steps."""
        before = self.cautions_before(repair, faults)
        return (*before, *(c for step in self.steps(repair, faults) for c in step.cautions))

    def cautions_of_tries(self) -> tuple[str, ...]:
        """Ids of the cautions that go with tries at the key."""
        symptoms = self.assessment.model.symptoms
        return tuple(dict.fromkeys(c for m in symptoms for c in self.cautions_of_reading(m)))

    @cached_property
    def cautions_of_facts(self) -> tuple[str, ...]:
        """Ids of the cautions that the readings and the machine call for, whatever is done."""
        both = (*self.assessment.standing.cautions, *self.assessment.now.cautions)
        return tuple(remark.text for remark in both)

    def _said(self, names: Iterable[str]) -> tuple[str, ...]:
        kb, known = self.assessment.model.kb, self.assessment.model.known
        here = [name for name in dict.fromkeys(names) if name in kb.cautions]
        conditions = {name: kb.cautions[name].only for name in here}
        return tuple(n for n in here if (only := conditions[n]) is None or only.holds(known) is not False)
