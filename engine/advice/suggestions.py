"""Readings worth taking: what each tells, what it saves, and which to take together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from operator import mul

from crankpath.engine.advice.ahead.two_readings import LookaheadValue, SecondReading, TwoReadings
from crankpath.engine.advice.leading_hypotheses import JointDistribution, LeadingHypotheses, Rows
from crankpath.engine.advice.options import Options
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.knowledge.records import Measurement
from crankpath.engine.machine.safety import decided_by

_BY_SAVING, _BY_RATE = 4, 2  # readings that are looked at with one that may follow
_PAIRED = 5  # readings looked at to be taken along with another
_NEARLY_ALWAYS = 0.7
_ALONGSIDE = 2  # readings at most that are asked for with another: more get mixed up in an answer
_TELLS = 1e-6  # minutes a reading must be able to save to tell anything


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A reading that can be taken.

    minutes: to take it, set-up that does not stand yet included. bits: expected gain about the
    right repair. saves: minutes it is expected to save, its own taken off. again: it was taken before,
    and a second take tells a slip from a fault.
    """

    measurement: str
    minutes: float
    bits: float
    saves: float
    again: bool = False


_SHORTEST = 1 / 60  # minutes: what any reading takes at least


def _order(one: Suggestion) -> tuple[float, str]:
    return one.saves, one.measurement


@dataclass(frozen=True)
class Suggestions:
    """The readings open in one assessment, with their worth.

    Attributes:
        round_trip: minutes from a question to its answer; more than none where a message goes out and back.
    """

    assessment: Assessment
    options: Options
    leading: LeadingHypotheses
    round_trip: float = 0.0

    @cached_property
    def new(self) -> tuple[Suggestion, ...]:
        """Readings not yet taken, best first: by the minutes each saves, its own taken off."""
        found = [self._value(measurement) for measurement in self.options.open]
        return tuple(sorted(found, key=lambda s: (-round(s.saves, 9), s.measurement)))

    def _value(self, measurement: Measurement) -> Suggestion:
        bits, gain = self.leading.worth(self._rows[measurement.id])
        share = self._seen_share(measurement)
        minutes = self.options.minutes(measurement)
        loss = self._lost_by_disturbing(measurement)
        return Suggestion(measurement.id, minutes, bits * share, gain * share - minutes - loss)

    @cached_property
    def _rows(self) -> dict[str, Rows]:
        return {m.id: self.leading.outcomes(m) for m in self.options.open}

    def _seen_share(self, measurement: Measurement) -> float:
        """How often the fault is there to be read: of an intermittent one, at some tries only."""
        if self.assessment.intermittent and self.assessment.shows(measurement):
            return self.assessment.complaint_rate
        return 1.0

    def _lost_by_disturbing(self, measurement: Measurement) -> float:
        """What it costs to disturb the place of a fault that comes and goes before a meter has seen it."""
        places = self.options.disturbed(measurement)
        if not places or not self.assessment.intermittent:
            return 0.0
        model, marginals = self.assessment.model, self.assessment.posterior.marginals()
        chance = sum(
            marginals[index]
            for index, element in enumerate(model.elements)
            if places.intersection(model.faults[element.fault].places_of(element.degree))
        )
        return min(chance, 1.0) * model.kb.settings["lost_fault_minutes"]

    @cached_property
    def retakes(self) -> tuple[Suggestion, ...]:
        """Readings taken once whose second take would tell, best first."""
        found = []
        for name, rows in self._retaken.items():
            measurement = self.assessment.model.measurements[name]
            bits, gain = self.leading.worth(rows)
            minutes, share = self.options.minutes(measurement), self._seen_share(measurement)
            found.append(Suggestion(name, minutes, bits * share, gain * share - minutes, again=True))
        return tuple(sorted(found, key=lambda s: (-round(s.saves, 9), s.measurement)))

    @cached_property
    def _retaken(self) -> dict[str, Rows]:
        once = ((name, taken) for name, taken in self.options.taken.items() if taken.repeats == 1)
        rows = ((name, self.leading.outcomes_of_retake(taken)) for name, taken in once)
        return {name: outcomes for name, outcomes in rows if outcomes is not None}

    @cached_property
    def best(self) -> Suggestion | None:
        """The reading that saves most with the one that may follow it; what it saves counts both."""
        best = max(self._worth_following, key=_order, default=None)
        for one in self._worth_following:
            best = max(best or one, self._with_a_second(one, best or one), key=_order)
        return best if best is not None and best.saves > 0.0 else None

    @cached_property
    def _worth_following(self) -> tuple[Suggestion, ...]:
        """The readings that look best one reading ahead, by what they save and by what they tell a minute."""
        rate = sorted(self.new, key=lambda s: -s.bits / max(s.minutes, _SHORTEST))
        found = (*self.new[:_BY_SAVING], *rate[:_BY_RATE], *self.retakes[:1])
        return tuple(dict.fromkeys(one for one in found if one.bits > 0.0))

    def _with_a_second(self, first: Suggestion, best: Suggestion) -> Suggestion:
        """A reading with what it saves if another follows; as it is where that cannot make it the best."""
        own = self.assessment.model.measurements[first.measurement]
        spent = first.minutes + (0.0 if first.again else self._lost_by_disturbing(own))
        share = self._seen_share(own)
        if share <= 0.0:
            return first
        seconds = list(self._seconds(own).values())
        followed = self._ahead.followed(self._rows_of(first), seconds, (best.saves + spent) / share)
        if followed is None:
            return first
        self._known_followed[first.measurement, first.again] = followed
        return replace(first, saves=max(first.saves, followed.gain * share - spent))

    @cached_property
    def _known_followed(self) -> dict[tuple[str, bool], LookaheadValue]:
        return {}

    def _often_next(self, first: Suggestion, seconds: Mapping[str, SecondReading]) -> Iterator[str]:
        """The readings that would nearly always be asked for next."""
        followed = self._known_followed.get((first.measurement, first.again))
        if followed is None:
            followed = self._ahead.followed(self._rows_of(first), list(seconds.values()))
        chances = followed.next_chances if followed else ()
        return (name for name, chance in zip(seconds, chances, strict=False) if chance >= _NEARLY_ALWAYS)

    def _rows_of(self, one: Suggestion) -> Rows:
        return (self._retaken if one.again else self._rows)[one.measurement]

    def _seconds(self, first: Measurement) -> dict[str, SecondReading]:
        """The readings that may follow, by name."""
        found = {}
        for other in self._worth_following:
            if not other.again and other.measurement != first.id:
                measurement = self.assessment.model.measurements[other.measurement]
                minutes = self.options.minutes(first, measurement) - self.options.minutes(first)
                rows, seen = self._rows[other.measurement], self._seen_share(measurement)
                found[other.measurement] = SecondReading(minutes + self.options.asking, seen, rows)
        return found

    @cached_property
    def _ahead(self) -> TwoReadings:
        return TwoReadings.of(self.leading)

    def with_it(self, first: Suggestion) -> tuple[str, ...]:
        """Readings to take before the answer to the first is known.

        At the machine those in the same state with what stands. Where an answer comes by a round trip, all
        whose answers do not forbid one another.
        """
        measurements = self.assessment.model.measurements
        taken = [measurements[first.measurement]]
        if first.again:
            return ()
        for other in self._after_it(taken[0], first):
            if self._fits_in(other, taken) and self._cheaper_at_once(other, taken):
                taken.append(other)
            if len(taken) > _ALONGSIDE:
                break
        return tuple(one.id for one in taken[1:])

    def _after_it(self, own: Measurement, first: Suggestion) -> list[Measurement]:
        """What may be taken along: beside the machine only what would be asked next nearly always."""
        if self.round_trip or self.assessment.intermittent:
            likely = [s.measurement for s in self.new if s.measurement != own.id and s.saves > _TELLS]
            return [self.assessment.model.measurements[name] for name in likely[:_PAIRED]]
        often = self._often_next(first, self._seconds(own))
        return [self.assessment.model.measurements[name] for name in often]

    def _fits_in(self, other: Measurement, taken: Sequence[Measurement]) -> bool:
        if self.round_trip:
            return decided_by(self.assessment.model.kb, other).isdisjoint(one.id for one in taken)
        standing = set(self.options.setups(taken[0]))
        return other.state == taken[0].state and standing.issuperset(self.options.setups(other))

    def _cheaper_at_once(self, other: Measurement, taken: Sequence[Measurement]) -> bool:
        """Is it cheaper to take the other along than to ask for it where one of those taken leaves it open?

        Taken along, it costs its minutes whatever the others read; asked for later, it costs a question and
        a round trip more, but only where it saves more than its minutes. A repair tried instead would cost
        a round trip, too, so that decides nothing there.
        """
        minutes = self.options.minutes(*taken, other) - self.options.minutes(*taken)
        costs, asking = self.leading.repair_costs, self.options.asking

        def gained(first: Measurement) -> float:
            total = 0.0
            for outcome in zip(*self._rows[first.id], strict=True):
                weights = list(map(mul, self.leading.weights, outcome))
                chance = sum(weights)
                then = replace(self.leading, weights=weights)
                joint = JointDistribution(then, self._rows[other.id]).by_answer
                net = costs.expected_repair_cost(list(map(sum, joint))) - costs.cost_after(joint)
                net -= chance * minutes
                total += chance * (asking + self.round_trip) if net > chance * asking else net
            return total

        return all(gained(one) > 0.0 for one in taken)

    @cached_property
    def would_help(self) -> tuple[str, ...]:
        """Readings that would save most if a tool or a place were at hand; two at most."""
        found = []
        for measurement in self.options.out_of_hand:
            _, gain = self.leading.worth(self.leading.outcomes(measurement))
            saves = gain - self.options.minutes(measurement)
            if saves > 0.0:
                found.append((saves, measurement.id))
        return tuple(name for _, name in sorted(found, reverse=True)[:2])
