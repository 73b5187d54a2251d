"""The next reading worth taking, and the verdict: measure, repair or stuck."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from crankpath.engine.assessment import Assessment
from crankpath.engine.conflict import most_surprising
from crankpath.engine.hypotheses import Members
from crankpath.engine.intermittent import failure_rate
from crankpath.engine.knowledge import Measurement
from crankpath.engine.tables import Chances, Table
from crankpath.engine.worth import Answer, Costs, expected_waste, information, repair_order

_HELD = 0.999  # posterior mass that suggestions look at; the verdict uses all of it
_MOST = 160
_NOTHING_LEFT: Members = (-1,)  # all faults of the hypothesis are repaired: the circuit is healthy
_UNLISTED: Members = (-2,)

Weighted = tuple[Members, Answer, float]
"""A hypothesis (less what was repaired), the repairs that cure it, its weight."""


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

    action: measure, repair or stuck. measurement: the reading to take (or retake). repair
    and faults: the repair and the faults it cures that are likely here. probability: that
    this repair is needed; for stuck, that nothing listed is at fault.
    """

    action: str
    measurement: str | None
    repair: str | None
    faults: tuple[str, ...]
    probability: float
    because: str


@dataclass(frozen=True)
class Advisor:
    """Advice on one assessment; everything is worked out once, on demand.

    Attributes:
        lacks: tools that the user does not have.
    """

    assessment: Assessment
    lacks: frozenset[str] = frozenset()

    @cached_property
    def costs(self) -> Costs:
        """What wrong repairs and help cost, from the knowledge base."""
        kb = self.assessment.model.kb
        comeback = kb.settings["comeback_minutes"]
        wasted = {r.id: r.minutes + r.parts_cost + comeback for r in kb.repairs.values()}
        return Costs(wasted, kb.settings["help_minutes"])

    @cached_property
    def answers(self) -> dict[Answer, float]:
        """Chance of each set of repairs that is still needed."""
        found: dict[Answer, float] = {}
        posterior = self.assessment.posterior
        gone = self.assessment.removed[-1]
        for members, weight in zip(posterior.hypotheses.members, posterior.weights, strict=True):
            if weight > 1e-12:
                answer = self._answer(members, gone)
                found[answer] = found.get(answer, 0.0) + weight
        return found

    def _answer(self, members: Members, gone: frozenset[int]) -> Answer:
        repair_of = self._repair_of
        return frozenset([repair_of[member] for member in members if member not in gone])

    @cached_property
    def _repair_of(self) -> tuple[str, ...]:
        model = self.assessment.model
        return tuple(model.faults[element.fault].repair for element in model.elements)

    @cached_property
    def repair_chances(self) -> dict[str, float]:
        """Chance that each repair is (still) needed."""
        chances: dict[str, float] = {}
        for answer, weight in self.answers.items():
            for repair in answer:
                chances[repair] = chances.get(repair, 0.0) + weight
        return chances

    @cached_property
    def _leading(self) -> list[Weighted]:
        """The likeliest hypotheses, less what was repaired, with their answers."""
        gone = self.assessment.removed[-1]
        found = []
        for members, weight in self.assessment.posterior.leading(_HELD, _MOST):
            left = tuple(m for m in members if m not in gone) if gone else members
            if not left:
                left = _NOTHING_LEFT if members else _UNLISTED
            found.append((left, self._answer(members, gone), weight))
        return found

    @cached_property
    def waste_now(self) -> float:
        """Expected minutes wasted if repairs were tried now without any further reading."""
        weights: dict[Answer, float] = {}
        for _, answer, weight in self._leading:
            weights[answer] = weights.get(answer, 0.0) + weight
        return expected_waste(weights, self.costs)

    def can_take(self, measurement: Measurement) -> bool:
        """False for what cannot be taken here, is unsafe or pointless now, or is already known."""
        assessment, now = self.assessment, self.assessment.now
        name = measurement.id
        if name in assessment.cannot or name in now.unsafe or name in now.pointless:
            return False
        if not self.lacks.isdisjoint(measurement.tools):
            return False
        return name not in self._read_now and name not in self._implied_now

    @cached_property
    def _read_now(self) -> frozenset[str]:
        """Read in this stretch; with the symptom away only, a cranking reading stays worth taking."""
        assessment = self.assessment
        return frozenset(
            taken.measurement.id
            for taken in assessment.taken
            if taken.stretch == assessment.stretch
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

    def joint(self, measurement: Measurement) -> dict[Answer, list[float]]:
        """Joint chances of answer and band for a reading taken now."""
        return self.joint_of(measurement, self._leading)

    def joint_of(self, measurement: Measurement, weighted: Sequence[Weighted]) -> dict[Answer, list[float]]:
        """The same, for hypotheses with weights of the caller's."""
        table, away = self._reading(measurement)
        grouped: dict[tuple[Answer, Members], float] = {}
        for members, answer, weight in weighted:
            key = (answer, _touched(table, members))
            grouped[key] = grouped.get(key, 0.0) + weight
        found: dict[Answer, list[float]] = {}
        for (answer, touched), weight in grouped.items():
            row = [weight * chance for chance in _row(table, touched, away)]
            known = found.get(answer)
            found[answer] = row if known is None else [a + b for a, b in zip(known, row, strict=True)]
        return found

    def split(self, measurement: str) -> list[list[Weighted]]:
        """Per band of a reading, the leading hypotheses weighted by their chance to show it."""
        entry = self.assessment.model.measurements[measurement]
        table, away = self._reading(entry)
        rows = [_row(table, _touched(table, members), away) for members, _, _ in self._leading]
        return [
            [(m, answer, w * row[band]) for (m, answer, w), row in zip(self._leading, rows, strict=True)]
            for band in range(len(entry.bands))
        ]

    def _reading(self, measurement: Measurement) -> tuple[Table, bool]:
        """The table in force now, and whether an intermittent fault may be away while it is read."""
        assessment = self.assessment
        table, _ = assessment.model.table(measurement.id, assessment.now.facts)
        return table, assessment.intermittent and not assessment.shows(measurement)

    @cached_property
    def suggestions(self) -> tuple[Suggestion, ...]:
        """Readings that can still be taken, best first."""
        found = [self._value(m) for m in self.assessment.model.measurements.values() if self.can_take(m)]
        found.sort(key=lambda s: (-s.saves, -s.bits / s.minutes, s.measurement))
        return tuple(found)

    def _value(self, measurement: Measurement) -> Suggestion:
        joint = self.joint(measurement)
        minutes = self.minutes(measurement)
        after = 0.0
        for band in range(len(measurement.bands)):
            after += expected_waste({answer: row[band] for answer, row in joint.items()}, self.costs)
        bits, gain = information(joint), self.waste_now - after
        if self.assessment.intermittent and self.assessment.shows(measurement):
            rate = self._rate
            bits, gain = bits * rate, gain * rate
        return Suggestion(measurement.id, minutes, bits, gain - minutes)

    @cached_property
    def _rate(self) -> float:
        """Expected chance that the symptom shows at the next try."""
        settings = self.assessment.model.kb.settings
        failures, of = self.assessment.tries
        return failure_rate(failures, of, settings["failure_rate_prior_a"], settings["failure_rate_prior_b"])

    @cached_property
    def verdict(self) -> Verdict:
        """Measure this next, repair this, or stuck."""
        settings = self.assessment.model.kb.settings
        unlisted = sum(weight for answer, weight in self.answers.items() if not answer)
        repair, chance = self._best_repair()
        if unlisted > settings["stuck_at"]:
            return self._stuck(unlisted)
        if repair is not None and chance >= settings["proven_at"]:
            return self._repair(repair, chance, "proven to the level the knowledge base asks for")
        best = self._next_reading(settings["bits_floor"])
        if best is not None:
            return self._measure(best, repair, chance)
        if repair is not None and chance > unlisted and chance >= settings["worth_trying"]:
            return self._repair(repair, chance, "no reading left can tell enough to be worth its minutes")
        return self._stuck(unlisted)

    def _best_repair(self) -> tuple[str | None, float]:
        chances = self.repair_chances
        if not chances:
            return None, 0.0
        best = max(chances, key=lambda repair: (chances[repair], repair))
        if chances[best] >= self.assessment.model.kb.settings["proven_at"]:
            return best, chances[best]
        order = repair_order(self.answers, self.costs)
        first = max(order[:1], key=lambda repair: chances[repair], default=best)
        return (best, chances[best]) if chances[first] < chances[best] else (first, chances[first])

    def _next_reading(self, floor: float) -> Suggestion | None:
        """The reading that saves most; if none saves, the most telling one per minute."""
        telling = [s for s in self.suggestions if s.bits >= floor]
        if not telling:
            return None
        if telling[0].saves > 0.0:
            return telling[0]
        return max(telling, key=lambda s: (s.bits / s.minutes, s.measurement))

    def _measure(self, best: Suggestion, repair: str | None, chance: float) -> Verdict:
        label = self.assessment.model.measurements[best.measurement].label
        because = (
            f"{label} is expected to tell most for its {best.minutes:g} minutes "
            f"({best.bits:.2f} bits, {best.saves:+.0f} minutes)"
        )
        return Verdict("measure", best.measurement, repair, self._faults(repair), chance, because)

    def _repair(self, repair: str, chance: float, why: str) -> Verdict:
        label = self.assessment.model.kb.repairs[repair].label
        return Verdict("repair", None, repair, self._faults(repair), chance, f"{label}: {why}")

    def _stuck(self, unlisted: float) -> Verdict:
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
        model, gone = self.assessment.model, self.assessment.removed[-1]
        chances: dict[str, float] = {}
        marginals = self.assessment.posterior.marginals()
        for index in model.repaired_by[repair] - gone:
            fault = model.elements[index].fault
            chances[fault] = chances.get(fault, 0.0) + marginals[index]
        return tuple(sorted((f for f in chances if chances[f] > 0.0), key=lambda f: (-chances[f], f)))


def _touched(table: Table, members: Members) -> Members:
    return members if members in (_NOTHING_LEFT, _UNLISTED) else table.touched(members)


def _row(table: Table, touched: Members, away: bool) -> Chances:
    if touched == _UNLISTED:
        return table.unlisted or table.healthy
    if touched == _NOTHING_LEFT:
        return table.healthy
    return table.chances_away(touched) if away else table.chances(touched)
