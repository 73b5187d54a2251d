"""From the entries of a case to evidence: readings -> facts -> evidence -> posterior.

A pure function of model and entries. Entries are split at repairs: a reading before the
repair of R speaks of H, one after it of H without R. Within such a stretch, readings with
the symptom present and with it away are kept apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from crankpath.engine.bands import band_of
from crankpath.engine.case_entries import CannotTake, Entry, Reading, Repaired, Tries
from crankpath.engine.condition import Facts, FactValue
from crankpath.engine.evidence import Before, Evidence, Outcome
from crankpath.engine.facts import Deduction, deduce
from crankpath.engine.hypotheses import NOTHING_MENDED, Hypotheses, Mended
from crankpath.engine.intermittent import failure_rate
from crankpath.engine.knowledge import Balance, Measurement
from crankpath.engine.model import SYMPTOM_KIND, Model
from crankpath.engine.ranking import Likelihood, Posterior, likelihood, mixed, posterior
from crankpath.engine.taken import Taken, shares_of, together

HISTORY_KIND = "history"
_REMEMBERED = 2_000_000  # likelihoods kept per machine, a few tens of megabytes


@dataclass(frozen=True, eq=False)
class Weighed:
    """A piece of evidence with the reading behind it (None for *still not cured*)."""

    taken: Taken | None
    evidence: Evidence
    facts: Facts
    band: str
    used: bool
    why_not: str | None = None


@dataclass(frozen=True)
class Assessment:
    """What the entries of a case amount to on one machine."""

    model: Model
    entries: tuple[Entry, ...]

    @cached_property
    def repairs(self) -> tuple[Repaired, ...]:
        """Repairs made, in order."""
        return tuple(entry for entry in self.entries if isinstance(entry, Repaired))

    @cached_property
    def mended(self) -> tuple[Mended, ...]:
        """Per stretch, what the repairs before it took away."""
        mended = [NOTHING_MENDED]
        for repair in self.repairs:
            elements = mended[-1].elements | self.model.repaired_by[repair.repair]
            mended.append(Mended(elements, repair.cured is False))
        return tuple(mended)

    @property
    def stretch(self) -> int:
        """The present stretch: the number of repairs made."""
        return len(self.repairs)

    @cached_property
    def cannot(self) -> frozenset[str]:
        """Readings that cannot be taken here."""
        return frozenset(entry.measurement for entry in self.entries if isinstance(entry, CannotTake))

    @cached_property
    def intermittent(self) -> bool:
        """True once anything says that the complaint comes and goes."""
        cured = False
        for entry in self.entries:
            if isinstance(entry, Reading):
                history = HISTORY_KIND in self.model.kb.measurements[entry.measurement].kinds
                if history and entry.value != self._first_band(entry.measurement):
                    return True
                if not cured and not self._present(entry):
                    return True
            elif isinstance(entry, Repaired):
                cured = entry.cured is True
            elif isinstance(entry, Tries) and 0 < entry.failures < entry.of:
                return True
        return False

    def _first_band(self, measurement: str) -> str:
        return self.model.kb.measurements[measurement].bands[0]

    @cached_property
    def tries(self) -> tuple[int, int]:
        """(failures, tries) in the present stretch: stated ones and readings taken while cranking."""
        return self._tries_among(self._since_last_repair)

    def _tries_among(self, entries: Sequence[Entry]) -> tuple[int, int]:
        failures = of = 0
        for entry in entries:
            if isinstance(entry, Tries):
                failures, of = failures + entry.failures, of + entry.of
            elif isinstance(entry, Reading) and self.shows(self.model.kb.measurements[entry.measurement]):
                failures, of = failures + self._present(entry), of + 1
        return failures, of

    def presence(self, measurement: Measurement, seen: bool = True) -> float:
        """Chance that the complaint is there while a reading is taken.

        Args:
            measurement: what is read.
            seen: whether the complaint showed, where that can be seen.

        Where nothing is cranked nobody sees it, whatever was ticked: it is there as often as it was at
        the tries so far. What is told of the past is told of the complaint.
        """
        if HISTORY_KIND in measurement.kinds:
            return 1.0
        if self.shows(measurement):
            return float(seen)
        return self._rate_before_a_cure if self.intermittent else 1.0

    def expected_rate(self, failures: int, of: int) -> float:
        """Expected chance that a try fails, where so many of so many did."""
        settings = self.model.kb.settings
        return failure_rate(failures, of, settings["failure_rate_prior_a"], settings["failure_rate_prior_b"])

    @cached_property
    def _rate_before_a_cure(self) -> float:
        return self.expected_rate(*self._tries_among(self._before_a_cure))

    @cached_property
    def _before_a_cure(self) -> tuple[Entry, ...]:
        cures = (i for i, e in enumerate(self.entries) if isinstance(e, Repaired) and e.cured is True)
        return self.entries[: next(cures, len(self.entries))]

    @cached_property
    def _since_last_repair(self) -> tuple[Entry, ...]:
        last = max((i for i, e in enumerate(self.entries) if isinstance(e, Repaired)), default=-1)
        return self.entries[last + 1 :]

    def shows(self, measurement: Measurement) -> bool:
        """Can the complaint be present or away while this reading is taken?"""
        return self.model.kb.states[measurement.state].symptom_shows

    def _present(self, reading: Reading) -> bool:
        """Was the symptom there? A start that was seen to be normal says itself no."""
        kinds = self.model.kb.measurements[reading.measurement].kinds
        normal = SYMPTOM_KIND in kinds and reading.value == self._first_band(reading.measurement)
        return reading.symptom and not normal

    @cached_property
    def taken(self) -> tuple[Taken, ...]:
        """Readings grouped so that repeats are one piece; sorted, so that order cannot matter."""
        groups: dict[tuple[int, str, bool], list[Reading]] = {}
        stretch = 0
        for entry in self.entries:
            if isinstance(entry, Repaired):
                stretch += 1
            elif isinstance(entry, Reading) and entry.measurement in self.model.measurements:
                key = (stretch, entry.measurement, self._present(entry))
                groups.setdefault(key, []).append(entry)
        measurements = self.model.measurements
        return tuple(
            Taken(measurements[name], stretch, symptom, together(readings), tuple(readings))
            for (stretch, name, symptom), readings in sorted(groups.items(), key=lambda item: item[0])
        )

    def context(self, stretch: int, symptom: bool) -> Deduction:
        """Facts that go with readings of a stretch, the symptom being present or away."""
        key = (stretch, symptom)
        if key not in self._contexts:
            self._contexts[key] = self._deduce(stretch, symptom)
        return self._contexts[key]

    @cached_property
    def _contexts(self) -> dict[tuple[int, bool], Deduction]:
        return {}

    def _deduce(self, stretch: int, symptom: bool) -> Deduction:
        given: dict[str, FactValue] = dict(self.model.equipment)
        for taken in self.taken:
            fits = taken.stretch == stretch and (
                taken.symptom is symptom or not self.shows(taken.measurement)
            )
            lasting = taken.stretch <= stretch and HISTORY_KIND in taken.measurement.kinds
            if fits or lasting:
                given[taken.measurement.id] = taken.value
        if not symptom:  # with the complaint away it starts as a sound machine does
            for measurement in self.model.symptoms:
                given.setdefault(measurement.id, measurement.bands[0])
        return deduce(self.model.kb, given, self._banding)

    def _banding(self, name: str, value: FactValue, facts: Facts) -> str | None:
        return band_of(self.model.kb.measurements[name], value, facts)

    @property
    def now(self) -> Deduction:
        """Facts of the present stretch with the symptom there."""
        return self.context(self.stretch, True)

    @cached_property
    def weighed(self) -> tuple[Weighed, ...]:
        """Every reading as evidence, used or not, and what came of each repair."""
        implied = self._implied
        pieces = [self._weigh(taken, taken in implied) for taken in self.taken]
        return (*pieces, *self._outcomes())

    def _weigh(self, taken: Taken, implied: bool) -> Weighed:
        measurement = taken.measurement
        deduction = self.context(taken.stretch, taken.symptom)
        facts = deduction.facts
        shares = shares_of(taken, facts)
        presence = self.presence(measurement, taken.symptom)
        evidence = self._evidence(measurement.id, shares, facts, presence, taken.stretch)
        before = self.before(measurement.id, taken.stretch, taken.symptom)
        if before is not None:
            evidence = replace(evidence, before=before, identity=(evidence.identity, before))
        why_not = None
        if self._only_says_away(taken):
            why_not = "a start that went well says only that the complaint was away just then"
        elif implied:
            why_not = "already implied by the other readings of its sum; kept as a check of them"
        elif measurement.id in deduction.distrusted:
            why_not = self.model.kb.facts[deduction.distrusted[measurement.id]].because
        band = measurement.bands[max(range(len(shares)), key=shares.__getitem__)]
        return Weighed(taken, evidence, facts, band, why_not is None, why_not)

    def before(self, name: str, stretch: int, symptom: bool) -> Before | None:
        """The same reading under the same condition before the last repair, if it was taken."""
        earlier = [
            t
            for t in self.taken
            if t.measurement.id == name and t.stretch < stretch and t.symptom is symptom
        ]
        if not earlier:
            return None
        taken = max(earlier, key=lambda t: t.stretch)
        shares = shares_of(taken, self.context(taken.stretch, symptom).facts)
        keeps = self.model.kb.settings["untouched_keeps"]
        return Before(shares, self.mended[taken.stretch], keeps)

    def _only_says_away(self, taken: Taken) -> bool:
        """Is it a normal start of a machine whose complaint comes and goes, not yet cured?"""
        if taken.symptom or SYMPTOM_KIND not in taken.measurement.kinds:
            return False
        normal = all(r.value == self._first_band(taken.measurement.id) for r in taken.readings)
        return normal and (taken.stretch == 0 or self.repairs[taken.stretch - 1].cured is False)

    def _evidence(
        self,
        name: str,
        shares: tuple[float, ...],
        facts: Facts,
        presence: float,
        stretch: int,
        outcome: Outcome | None = None,
    ) -> Evidence:
        table, key = self.model.table(name, facts)
        mended = self.mended[stretch]
        identity = (name, id(table), shares, mended, outcome)
        return Evidence(name, shares, table, key, presence, mended, outcome, identity=identity)

    @cached_property
    def _implied(self) -> frozenset[Taken]:
        """Readings that the others of a sum already imply: checks, not new evidence."""
        present: dict[tuple[int, bool], dict[str, Taken]] = {}
        for taken in self.taken:
            present.setdefault((taken.stretch, taken.symptom), {})[taken.measurement.id] = taken
        found = set()
        for read in present.values():
            for balance in self.balances:
                if balance.implied in read and all(n in read for n in (balance.whole, *balance.parts)):
                    found.add(read[balance.implied])
        return frozenset(found)

    @cached_property
    def balances(self) -> tuple[Balance, ...]:
        """Sums and orders that hold on this machine."""
        known = self.model.known
        return tuple(
            balance
            for balance in self.model.kb.balances.values()
            if balance.only is None or balance.only.holds(known) is not False
        )

    def _outcomes(self) -> list[Weighed]:
        """What came of each repair, as evidence on what was left of H after it."""
        symptom = next(iter(self.model.symptoms), None)
        told = [stretch for stretch, repair in enumerate(self.repairs, 1) if repair.cured is not None]
        return [] if symptom is None else [self._outcome(symptom, stretch) for stretch in told]

    def _outcome(self, symptom: Measurement, stretch: int) -> Weighed:
        repair = self.repairs[stretch - 1]
        cured = repair.cured is True
        seen = any(t.measurement is symptom and t.stretch == stretch for t in self.taken)
        # Only the last outcome speaks of what is left, and only where that was not seen for itself;
        # of the others just the chance that the work failed remains.
        speaks = stretch == self.stretch and not seen
        shares = tuple(float(not speaks or (index == 0) is cured) for index in range(len(symptom.bands)))
        failed = self.model.kb.settings["failed_repair"]
        facts = self.context(stretch, not cured).facts
        work = self.model.repaired_by[repair.repair]
        outcome = Outcome(work, 1.0 - failed if cured else failed)
        evidence = self._evidence(symptom.id, shares, facts, 1.0, stretch, outcome)
        return Weighed(None, evidence, facts, "cured" if cured else "not cured", True)

    @cached_property
    def used(self) -> tuple[Weighed, ...]:
        """The evidence that counts."""
        return tuple(piece for piece in self.weighed if piece.used)

    @cached_property
    def posterior(self) -> Posterior:
        """Chances of all hypotheses about what was wrong at the start."""
        return self.posterior_of(self.used)

    def posterior_of(self, pieces: Sequence[Weighed]) -> Posterior:
        """The posterior on some of the evidence only."""
        return posterior(self.model.hypotheses, [piece.evidence for piece in pieces], self._vector)

    @cached_property
    def without(self) -> tuple[Posterior, ...]:
        """For each piece of evidence that counts, the posterior on all the others."""
        return tuple(
            self.posterior_of([other for other in self.used if other is not piece]) for piece in self.used
        )

    def _vector(self, hypotheses: Hypotheses, evidence: Evidence) -> Likelihood:
        if evidence.unseen:  # its presence moves with every try, the two it is mixed from stay
            return mixed(evidence, lambda seen: self._vector(hypotheses, seen))
        cache = self.model.vectors
        key = (evidence.identity, evidence.presence)
        known = cache.get(key)
        if known is None:
            if len(cache) >= max(8, _REMEMBERED // len(hypotheses.members)):
                cache.clear()
            known = cache[key] = likelihood(hypotheses, evidence)
        return known

    def with_reading(self, reading: Reading) -> Assessment:
        """The same case with one more reading, nothing recorded."""
        return Assessment(self.model, (*self.entries, reading))
