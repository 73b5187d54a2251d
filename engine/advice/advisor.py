"""The next reading worth taking, and the verdict: measure, repair, stuck or stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import mul

from crankpath.engine.advice.guard import Guard
from crankpath.engine.advice.value_of_information import (
    Costs,
    RepairCosts,
    by_rate,
    mutual_information,
)
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.conflict import most_surprising
from crankpath.engine.inference.model import Answer
from crankpath.engine.inference.tables import Chances, Members
from crankpath.engine.knowledge.records import Measurement, Repair
from crankpath.engine.machine.safety import Stop

_HELD = 0.995  # posterior mass that suggestions look at; the verdict uses all of it
_MOST = 60


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A reading that can still be taken.

    minutes: to take it, set-up that is not yet made included. bits: expected gain about the
    right repair. saves: minutes it is expected to save, its own taken off.
    """

    measurement: str
    minutes: float
    bits: float
    saves: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to do now.

    action: measure, repair, stuck or stop. measurement: the reading to take (or retake). repair
    and faults: the repair and the faults it cures that are likely here. probability: that
    this repair is needed; for stuck, that nothing listed is at fault. because: for stop, what forbids
    to go on, and what must happen first. prepares: the repair that this one has to come before.
    """

    action: str
    measurement: str | None
    repair: str | None
    faults: tuple[str, ...]
    probability: float
    because: str
    prepares: str | None = None


def worth_per_minute(suggestion: Suggestion) -> float:
    """Minutes saved, its own not taken off, per minute it takes."""
    return (suggestion.saves + suggestion.minutes) / suggestion.minutes


def _blended(chance: float, one: Chances, other: Chances) -> Chances:
    """``chance * one + (1 - chance) * other``."""
    rest = 1.0 - chance
    return tuple([chance * a + rest * b for a, b in zip(one, other, strict=True)])


@dataclass(frozen=True)
class Leading:
    """The hypotheses that matter, with the answers they need.

    places: in the list of all hypotheses. weights: their chances, summing to 1. rows: the
    row of each one's answer in the ledger. left: what is still wrong of each.
    """

    places: Sequence[int]
    weights: Sequence[float]
    rows: Sequence[int]
    repair_costs: RepairCosts
    left: Sequence[Members]

    @cached_property
    def unlisted(self) -> int | None:
        """Where among them *not listed* is, the first of all hypotheses."""
        return self.places.index(0) if 0 in self.places else None

    def expected_repair_cost(self, weights: Sequence[float]) -> float:
        """Expected minutes wasted by trying repairs at once, for weights of these hypotheses."""
        return self.repair_costs.expected_repair_cost(self._sums(weights))

    def _sums(self, weights: Sequence[float]) -> list[float]:
        sums = [0.0] * len(self.repair_costs.answers)
        for row, weight in zip(self.rows, weights, strict=True):
            sums[row] += weight
        return sums

    def joint(self, chances: Sequence[Chances], weights: Sequence[float]) -> list[list[float]]:
        """Joint chances, bands by answers, of a reading with these chances by hypothesis."""
        return [self._sums(list(map(mul, weights, band))) for band in zip(*chances, strict=True)]


@dataclass(frozen=True)
class Advisor:
    """Advice on one assessment; everything is worked out once, on demand.

    Attributes:
        lacks: tools that the user does not have.
    """

    assessment: Assessment
    lacks: frozenset[str] = frozenset()

    @cached_property
    def guard(self) -> Guard:
        """What may be offered now."""
        return Guard(self.assessment)

    @cached_property
    def costs(self) -> Costs:
        """What wrong repairs and help cost, from the knowledge base."""
        kb = self.assessment.model.kb
        comeback = kb.settings["comeback_minutes"]
        wasted = {r.id: r.minutes + r.parts_cost + comeback for r in kb.repairs.values()}
        return Costs(wasted, kb.settings["help_minutes"])

    @cached_property
    def repair_chances(self) -> dict[str, float]:
        """Chance that each repair is (still) needed; those without any are left out."""
        assessment = self.assessment
        repairs = list(assessment.model.repaired_by)
        number = {repair: place for place, repair in enumerate(repairs)}
        groups = [number[repair] for repair in assessment.model.repair_of]
        chances = assessment.posterior.chances_of_groups(groups, len(repairs), assessment.mended[-1])
        return {repair: chance for repair, chance in zip(repairs, chances, strict=True) if chance > 0.0}

    @cached_property
    def repair_order(self) -> tuple[str, ...]:
        """The repairs that may be needed, by falling chance per minute wasted."""
        return by_rate(self.repair_chances, self.costs)

    @cached_property
    def leading(self) -> Leading:
        """The likeliest hypotheses, which the worth of readings is worked out on."""
        model, mended = self.assessment.model, self.assessment.mended[-1]
        places, weights = self.assessment.posterior.leading(_HELD, _MOST)
        left = [mended.left(model.hypotheses.members[place]) for place in places]
        numbers: dict[Answer, int] = {}
        rows = [numbers.setdefault(model.answer(members), len(numbers)) for members in left]
        return Leading(places, weights, rows, RepairCosts(list(numbers), self.costs), left)

    @cached_property
    def expected_repair_cost_now(self) -> float:
        """Expected minutes wasted if repairs were tried now without any further reading."""
        return self.leading.expected_repair_cost(self.leading.weights)

    def can_take(self, measurement: Measurement) -> bool:
        """False for what cannot be taken here, is unsafe or pointless now, or is already known."""
        assessment, now = self.assessment, self.assessment.now
        name = measurement.id
        if name in assessment.cannot or name in now.pointless:
            return False
        if not self.lacks.isdisjoint(measurement.tools):
            return False
        return name not in self._read_now and name not in self._implied_now and self.allowed(measurement)

    def allowed(self, measurement: Measurement) -> bool:
        """False for what must not be done now."""
        return measurement.id not in self.assessment.now.unsafe and not self.guard.reading(measurement)

    @cached_property
    def _read_now(self) -> frozenset[str]:
        """Read in this stretch; with the symptom away only, a cranking reading stays worth taking."""
        assessment = self.assessment
        return frozenset(
            taken.measurement.id
            for taken in assessment.taken
            if taken.repair_epoch == assessment.repair_epoch
            and (taken.symptom or not assessment.shows(taken.measurement))
        )

    @cached_property
    def _implied_now(self) -> frozenset[str]:
        read = self._read_now
        return frozenset(
            balance.implied
            for balance in self.assessment.balances
            if balance.implied is not None
            and all(n in read for n in (balance.whole, *balance.parts) if n != balance.implied)
        )

    @cached_property
    def _setups_made(self) -> frozenset[str]:
        made: set[str] = set()
        for taken in self.assessment.taken:
            made.update(self._setups(taken.measurement))
        return frozenset(made)

    def _setups(self, measurement: Measurement) -> tuple[str, ...]:
        return (*measurement.setups, *self.assessment.model.kb.states[measurement.state].setups)

    def minutes(self, measurement: Measurement) -> float:
        """Minutes to take a reading now; set-up that other readings needed is already paid."""
        setups = self.assessment.model.kb.setups
        todo = {s for s in self._setups(measurement) if s not in self._setups_made}
        return measurement.minutes + sum(setups[s].minutes for s in todo)

    def rows(self, measurement: Measurement) -> tuple[Chances, ...]:
        """Chances of each band of a reading taken now, for each of the leading hypotheses."""
        assessment = self.assessment
        table = assessment.model.table(measurement.id, assessment.now.facts)
        there, leading = assessment.symptom_probability(measurement), self.leading
        rows = [table.outcomes_of(members) for members in leading.left]
        if there < 1.0:
            away = [table.outcomes_of(members, shown_away=True) for members in leading.left]
            rows = [_blended(there, *pair) for pair in zip(rows, away, strict=True)]
        if leading.unlisted is not None:
            rows[leading.unlisted] = table.outcomes(table.unlisted)
        before = assessment.before(measurement.id, assessment.repair_epoch, True)
        if before is not None:
            again, kept = table.outcomes_of_repeat(before.read), before.repeat_probability
            members, repaired = assessment.model.hypotheses.members, assessment.mended[-1]
            for number, place in enumerate(leading.places):
                if before.untouched(table, members[place], repaired):
                    rows[number] = _blended(kept, again, rows[number])
        return tuple(rows)

    @cached_property
    def suggestions(self) -> tuple[Suggestion, ...]:
        """Readings that can still be taken, best first: by what each saves per minute it takes."""
        found = [self._value(m) for m in self.assessment.model.measurements.values() if self.can_take(m)]
        found.sort(key=lambda s: (-worth_per_minute(s), s.measurement))
        return tuple(found)

    def _value(self, measurement: Measurement) -> Suggestion:
        rows, minutes = self.rows(measurement), self.minutes(measurement)
        if rows not in self._worths:  # many readings are moved by none of the leading sets
            self._worths[rows] = self._worth(rows)
        bits, gain = self._worths[rows]
        if self.assessment.intermittent and self.assessment.shows(measurement):
            bits, gain = bits * self._rate, gain * self._rate
        return Suggestion(measurement.id, minutes, bits, gain - minutes)

    @cached_property
    def _worths(self) -> dict[tuple[Chances, ...], tuple[float, float]]:
        return {}

    def _worth(self, rows: Sequence[Chances]) -> tuple[float, float]:
        """Bits, and minutes saved, by a reading with these chances for the leading hypotheses."""
        leading = self.leading
        joint = leading.joint(rows, leading.weights)
        after = sum(map(leading.repair_costs.expected_repair_cost, joint))
        return mutual_information(joint), self.expected_repair_cost_now - after

    @cached_property
    def _rate(self) -> float:
        """Expected chance that the symptom shows at the next try."""
        return self.assessment.complaint_rate

    @cached_property
    def verdict(self) -> Verdict:
        """Measure this next, repair this, stuck, or stop."""
        if self.guard.everything:
            return self._stop(*self.guard.everything)
        look = self._look_again()
        if look is not None:
            return look
        settings = self.assessment.model.kb.settings
        unlisted = self.assessment.posterior.unlisted
        repair, chance = self._best_repair()
        if unlisted > settings["stuck_at"]:
            return self._stuck(unlisted)
        if repair is not None and chance >= settings["proven_at"]:
            return self._repair(repair, chance, "proven to the level the knowledge base asks for")
        best = self._next_reading(settings["bits_floor"])
        if best is not None:
            return self._measure(best, repair, chance)
        if self._withheld:
            return self._stop(*self._withheld)
        if repair is not None and chance > unlisted and chance >= settings["worth_trying"]:
            return self._repair(repair, chance, "no reading left can tell enough to be worth its minutes")
        return self._stuck(unlisted)

    def _look_again(self) -> Verdict | None:
        """After a repair that did not cure: first what the machine does now."""
        assessment = self.assessment
        if not assessment.repairs or assessment.repairs[-1].cured is not False:
            return None
        for measurement in assessment.model.symptoms:
            read = any(
                t.measurement is measurement and t.repair_epoch == assessment.repair_epoch
                for t in assessment.taken
            )
            if not read and measurement.id not in assessment.cannot and self.allowed(measurement):
                repair, chance = self._best_repair()
                because = "what it does now, after the repair, tells what is left"
                return Verdict("measure", measurement.id, repair, self._faults(repair), chance, because)
        return None

    def _best_repair(self) -> tuple[str | None, float]:
        chances = self.repair_chances
        if not chances:
            return None, 0.0
        best = max(chances, key=lambda repair: (chances[repair], repair))
        if chances[best] >= self.assessment.model.kb.settings["proven_at"]:
            return best, chances[best]
        first = max(self.repair_order[:1], key=lambda repair: chances[repair], default=best)
        return (best, chances[best]) if chances[first] < chances[best] else (first, chances[first])

    def _next_reading(self, floor: float) -> Suggestion | None:
        """The reading that saves most; if none saves, the most telling one per minute."""
        telling = [s for s in self.suggestions if s.bits >= floor]
        saving = [s for s in telling if s.saves > 0.0]
        if saving or not telling:
            return saving[0] if saving else None
        return max(telling, key=lambda s: (s.bits / s.minutes, s.measurement))

    def _measure(self, best: Suggestion, repair: str | None, chance: float) -> Verdict:
        label = self.assessment.model.measurements[best.measurement].label
        because = (
            f"{label} is expected to tell most for its {best.minutes:g} minutes "
            f"({best.bits:.2f} bits, {best.saves:+.0f} minutes)"
        )
        return Verdict("measure", best.measurement, repair, self._faults(repair), chance, because)

    def _repair(self, repair: str, chance: float, why: str) -> Verdict:
        entry = self.assessment.model.kb.repairs[repair]
        prepares = None
        if entry.instead is not None and not self._ready_for(entry):
            prepares, why = repair, entry.needs_because
            entry = self.assessment.model.kb.repairs[entry.instead]
        forbidden = self.guard.repair(entry)
        if forbidden:
            return self._stop(*forbidden)
        because = f"{entry.label}: {why}"
        return Verdict("repair", None, entry.id, self._faults(repair), chance, because, prepares)

    def _ready_for(self, repair: Repair) -> bool:
        return repair.needs is None or repair.needs.holds(self.assessment.standing.facts) is True

    @cached_property
    def _withheld(self) -> tuple[Stop, ...]:
        """The stops but for which a reading that is still open could be taken."""
        assessment, found = self.assessment, list[Stop]()
        for measurement in assessment.model.measurements.values():
            if measurement.id not in self._read_now and measurement.id not in assessment.cannot:
                found += self.guard.reading(measurement)
        return tuple(dict.fromkeys(found))

    def _stop(self, *forbidden: Stop) -> Verdict:
        because = " ".join(dict.fromkeys(stop.text for stop in forbidden))
        return Verdict("stop", None, None, (), 1.0, because)

    def _stuck(self, unlisted: float) -> Verdict:
        if self._withheld:
            return self._stop(*self._withheld)
        retake = most_surprising(self.assessment)
        because = "nothing this knowledge base lists explains the readings"
        if retake is not None:
            label = self.assessment.model.kb.measurements[retake].label
            because += f"; take {label} again first, it fits the others least"
        return Verdict("stuck", retake, None, (), unlisted, because)

    def _faults(self, repair: str | None) -> tuple[str, ...]:
        """The faults the repair cures that are there with some chance, likeliest first."""
        if repair is None:
            return ()
        model, mended = self.assessment.model, self.assessment.mended[-1]
        chances: dict[str, float] = {}
        marginals = self.assessment.posterior.marginals()
        gone = frozenset() if mended.symptom_persists else mended.elements
        for index in model.repaired_by[repair] - gone:
            fault = model.elements[index].fault
            chances[fault] = chances.get(fault, 0.0) + marginals[index]
        return tuple(sorted((f for f in chances if chances[f] > 0.0), key=lambda f: (-chances[f], f)))
