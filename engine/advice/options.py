"""Which readings can be taken now, and how many minutes each takes with its set-up."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from crankpath.engine.advice.guard import Guard
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.records import Measurement
from crankpath.engine.machine.safety import Stop


@dataclass(frozen=True)
class Options:
    """The readings that are open in one assessment.

    Attributes:
        lacks: tools that the user does not have.
    """

    assessment: Assessment
    lacks: frozenset[str]
    guard: Guard

    @cached_property
    def open(self) -> tuple[Measurement, ...]:
        """Readings that can be taken now and are not known."""
        return tuple(m for m in self.assessment.model.measurements.values() if self.can_take(m))

    def can_take(self, measurement: Measurement) -> bool:
        """False for what cannot be taken here, is unsafe or pointless now, or is already known."""
        return self._new(measurement) and self._at_hand(measurement) and self.allowed(measurement)

    def _new(self, measurement: Measurement) -> bool:
        name = measurement.id
        if measurement.instead_of and self.lacks.isdisjoint(measurement.instead_of):
            return False
        return (
            name not in self._read and name not in self._implied and name not in self.assessment.now.pointless
        )

    def _at_hand(self, measurement: Measurement) -> bool:
        return (
            measurement.id not in self.assessment.cannot
            and self.lacks.isdisjoint(measurement.tools)
            and self._out_of_reach.isdisjoint(self.setups(measurement))
        )

    def allowed(self, measurement: Measurement) -> bool:
        """False for what must not be done now."""
        return measurement.id not in self.assessment.now.unsafe and not self.guard.reading(measurement)

    @cached_property
    def to_watch(self) -> tuple[Measurement, ...]:
        """Readings that can be taken at the next failure: clipped on until then, or seen without a tool."""
        assessment = self.assessment
        found = (m for m in assessment.model.measurements.values() if m not in assessment.model.symptoms)
        return tuple(m for m in found if assessment.shows(m) and self._stays_on(m) and self.can_take(m))

    @cached_property
    def to_watch_again(self) -> tuple[PooledReading, ...]:
        """Meter readings taken at one failure that can be left on until the next."""
        once = (t for t in self.taken.values() if t.repeats == 1 and t.measurement.id not in self._implied)
        here = ((taken, taken.measurement) for taken in once)
        return tuple(taken for taken, m in here if self.assessment.shows(m) and self._stays_on(m))

    def _stays_on(self, measurement: Measurement) -> bool:
        setups = self.assessment.model.kb.setups
        if measurement.numeric:
            return any(setups[name].stays_on for name in measurement.setups)
        cranking = {symptom.state for symptom in self.assessment.model.symptoms}
        return measurement.state in cranking and not measurement.setups

    @cached_property
    def out_of_hand(self) -> tuple[Measurement, ...]:
        """Readings that only a tool or a place out of reach keeps from being taken."""
        found = self.assessment.model.measurements.values()
        return tuple(m for m in found if self._new(m) and self.allowed(m) and not self._at_hand(m))

    @cached_property
    def withheld(self) -> tuple[Stop, ...]:
        """The stops but for which a reading that is still open could be taken."""
        found: list[Stop] = []
        for measurement in self.assessment.model.measurements.values():
            if measurement.id not in self._read and measurement.id not in self.assessment.cannot:
                found += self.guard.reading(measurement)
        return tuple(dict.fromkeys(found))

    @cached_property
    def lifting(self) -> Measurement | None:
        """The reading that would end the stops which withhold others, taken before or not."""
        kb = self.assessment.model.kb
        rules = [kb.facts[stop.rule] for stop in self.withheld if stop.rule]
        if not rules or any(rule.until is None for rule in rules):
            return None
        names = dict.fromkeys(name for rule in rules if rule.until for name in rule.until.names())
        found = (self.assessment.model.measurements.get(name) for name in names)
        return next((m for m in found if m and self._at_hand(m) and self.allowed(m)), None)

    @cached_property
    def taken(self) -> dict[str, PooledReading]:
        """Meter readings of this repair epoch that could be taken once more."""
        assessment = self.assessment
        return {
            taken.measurement.id: taken
            for taken in assessment.taken
            if taken.repair_epoch == assessment.repair_epoch
            and taken.symptom
            and taken.measurement.numeric
            and self._at_hand(taken.measurement)
            and self.allowed(taken.measurement)
        }

    def taken_again(self, taken: PooledReading) -> bool:
        """True where a second take is there, or would have to wait for the next failure."""
        waits = self.assessment.intermittent and self.assessment.shows(taken.measurement)
        return waits or taken.repeats > 1 or bool(taken.set_aside)

    @cached_property
    def _read(self) -> frozenset[str]:
        """Read in this repair epoch; with the symptom away only, a cranking reading stays worth taking."""
        assessment = self.assessment
        return frozenset(
            taken.measurement.id
            for taken in assessment.taken
            if taken.repair_epoch == assessment.repair_epoch
            and (taken.symptom or not assessment.shows(taken.measurement))
        )

    @cached_property
    def _implied(self) -> frozenset[str]:
        read = self._read
        return frozenset(
            balance.implied
            for balance in self.assessment.model.balances
            if balance.implied is not None
            and all(n in read for n in (balance.whole, *balance.parts) if n != balance.implied)
        )

    @cached_property
    def _out_of_reach(self) -> frozenset[str]:
        """Places that were refused in substance: who cannot reach the starter cannot read its stud either."""
        kb, measurements = self.assessment.model.kb, self.assessment.model.measurements
        refused = (measurements[name] for name in self.assessment.cannot if name in measurements)
        return frozenset(
            setup
            for measurement in refused
            for setup in self.setups(measurement)
            if kb.setups[setup].reach and setup not in self._made
        )

    @cached_property
    def _made(self) -> frozenset[str]:
        """Set-ups that stand: made for a reading, and not undone by a later one."""
        standing: dict[str, None] = {}
        setups = self.assessment.model.kb.setups
        for taken in self._in_order(self.assessment.taken):
            for name in self.setups(taken.measurement):
                for undone in setups[name].undoes:
                    standing.pop(undone, None)
                standing[name] = None
        return frozenset(standing)

    def _in_order(self, taken: Iterable[PooledReading]) -> list[PooledReading]:
        place = {id(entry): number for number, entry in enumerate(self.assessment.entries)}
        return sorted(taken, key=lambda one: max(place.get(id(reading), 0) for reading in one.readings))

    def setups(self, measurement: Measurement) -> tuple[str, ...]:
        """Set-ups that a reading needs, those of its state included."""
        return (*measurement.setups, *self.assessment.model.kb.states[measurement.state].setups)

    def minutes(self, *measurements: Measurement) -> float:
        """Minutes to ask for readings together now; set-up that stands is paid, shared set-up paid once."""
        todo = {name for one in measurements for name in self.setups(one)} - self._made
        setup = sum(self._setup_minutes(name) for name in todo)
        return self.asking + sum(one.minutes for one in measurements) + setup

    @property
    def asking(self) -> float:
        """Minutes for one question and its answer, beyond the readings."""
        return self.assessment.model.kb.settings["asking_minutes"]

    def _setup_minutes(self, name: str) -> float:
        """Minutes to make a set-up and to put things back, for each piece where it goes by the piece."""
        setup = self.assessment.model.kb.setups[name]
        pieces = self.assessment.model.known.values.get(setup.per) if setup.per else 1
        return (setup.minutes + setup.minutes_back) * (pieces if isinstance(pieces, int | float) else 1)

    def disturbed(self, measurement: Measurement) -> frozenset[str]:
        """Segments that the set-ups still to be made disturb, and may cure for a while."""
        todo = (name for name in self.setups(measurement) if name not in self._made)
        return frozenset(place for name in todo for place in self.assessment.model.kb.setups[name].disturbs)
