"""From the entries of a case to evidence: readings -> facts -> evidence -> posterior.

A pure function of model and entries. Entries are split at repairs: a reading before the
repair of R speaks of H, one after it of H without R. Within such a repair epoch, readings with
the symptom present and with it away are kept apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from crankpath.engine.bayes.evidence import EarlierReading, Evidence, Metered, Observed, Read, RepairOutcome
from crankpath.engine.bayes.hypotheses import NOTHING_REPAIRED, RepairState
from crankpath.engine.bayes.posterior import Posterior
from crankpath.engine.bayes.tables import MeterTable, Table
from crankpath.engine.inference.bands import band_of, shares_of
from crankpath.engine.inference.case_facts import case_facts
from crankpath.engine.inference.crank_making import CrankMaker
from crankpath.engine.inference.entries import CannotTake, Entry, Reading, Repaired, Tries
from crankpath.engine.inference.evidence_item import EvidenceItem
from crankpath.engine.inference.failure_rate import failure_rate, tally
from crankpath.engine.inference.model import Model
from crankpath.engine.inference.pooled_readings import PooledReading, pool
from crankpath.engine.knowledge.building.known_names import DONE
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Measurement
from crankpath.engine.machine.facts import Deduction

_LARGEST = 1e9  # an open circuit read as "OL"
_SUREST = 0.3  # least standard deviation of a reading, in those of an ordinary one


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
    def repair_states(self) -> tuple[RepairState, ...]:
        """Per repair epoch, what the repairs before it took away or hid."""
        states = [NOTHING_REPAIRED]
        for repair in self.repairs:
            elements = states[-1].elements | self.model.repaired_by[repair.repair]
            hidden = states[-1].hidden | self.model.hidden_by(repair.repair)
            states.append(RepairState(elements, repair.cured is False, hidden - elements))
        return tuple(states)

    def repaired_for(self, name: str, repair_epoch: int) -> RepairState:
        """The same for one reading: what proves a fault sees it although it is hidden."""
        state, model = self.repair_states[repair_epoch], self.model
        seen = {i for i in state.hidden if model.faults[model.elements[i].fault].proof == name}
        return replace(state, hidden=state.hidden - seen) if seen else state

    @property
    def repair_epoch(self) -> int:
        """The present repair epoch: the number of repairs made."""
        return len(self.repairs)

    @cached_property
    def cannot(self) -> frozenset[str]:
        """Readings that cannot be taken here."""
        return frozenset(entry.measurement for entry in self.entries if isinstance(entry, CannotTake))

    @cached_property
    def intermittent(self) -> bool:
        """True once anything says that the complaint comes and goes."""
        cured = False
        told = {e.measurement: e.value for e in self.entries if isinstance(e, Reading) and self._of_past(e)}
        if any(value != self._first_band(name) for name, value in told.items()):
            return True
        for entry in self.entries:
            if isinstance(entry, Reading):
                if not cured and not self._present(entry):
                    return True
            elif isinstance(entry, Repaired):
                cured = entry.cured is True
            elif isinstance(entry, Tries) and 0 < entry.failures < entry.of:
                return True
        return False

    def _of_past(self, reading: Reading) -> bool:
        return HISTORY_KIND in self.model.kb.measurements[reading.measurement].kinds

    def _first_band(self, measurement: str) -> str:
        return self.model.kb.measurements[measurement].bands[0]

    @cached_property
    def tries(self) -> tuple[int, int]:
        """(failures, tries) counted in the present repair epoch; a reading is no try."""
        return tally(entry for entry in self._since_last_repair if isinstance(entry, Tries))

    @cached_property
    def failed_again(self) -> bool:
        """True once the complaint showed in the present repair epoch, at a counted try or in a reading."""
        return self.tries[0] > 0 or any(
            self._present(entry) and self.shows(self.model.kb.measurements[entry.measurement])
            for entry in self._since_last_repair
            if isinstance(entry, Reading)
        )

    @cached_property
    def complaint_tries(self) -> tuple[Tries, ...]:
        """Tries that tell how often the complaint shows, in order.

        What was told or counted with the fault there; not what was tried while waiting for a failure
        in order to read, nor what a repair had to stand.
        """
        tested = None if not self.repairs or self.repairs[-1].cured is False else self.repairs[-1]
        until = max((i for i, entry in enumerate(self.entries) if entry is tested), default=len(self.entries))
        entries = self._before_a_cure[:until]
        return tuple(entry for entry in entries if isinstance(entry, Tries) and not entry.waiting)

    @cached_property
    def complaint_rate(self) -> float:
        """Expected chance that a try fails while the fault is there; a proof starts from another prior."""
        settings = self.model.kb.settings
        prior = settings["usual_rate_a"], settings["usual_rate_b"]
        return failure_rate(*tally(self.complaint_tries), *prior)

    def symptom_probability(self, measurement: Measurement, seen: bool = True) -> float:
        """Chance that the complaint is there while a reading is taken.

        Args:
            measurement: what is read.
            seen: whether the complaint showed, where that can be seen.

        Where nothing is cranked nobody sees it, whatever was ticked: it is there as often as it was at
        the tries that were counted. What is told of the past is told of the complaint.
        """
        if HISTORY_KIND in measurement.kinds:
            return 1.0
        if self.shows(measurement):
            return float(seen)
        return self.complaint_rate if self.intermittent else 1.0

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
    def taken(self) -> tuple[PooledReading, ...]:
        """Readings grouped so that the takes of one are one piece; sorted by repairs and name."""
        groups: dict[tuple[int, str, bool], list[Reading]] = {}
        repair_epoch = 0
        for entry in self.entries:
            if isinstance(entry, Repaired):
                repair_epoch += 1
            elif isinstance(entry, Reading) and entry.measurement in self.model.measurements:
                key = (repair_epoch, entry.measurement, self._present(entry))
                groups.setdefault(key, []).append(entry)
                apart = self._told_apart(entry)
                if apart is not None:
                    groups.setdefault((repair_epoch, apart.measurement, key[2]), []).append(apart)
        measurements = self.model.measurements
        return tuple(
            pool(measurements[name], repair_epoch, symptom, readings, symptom and self._scatters(name))
            for (repair_epoch, name, symptom), readings in sorted(groups.items(), key=lambda item: item[0])
        )

    def _told_apart(self, entry: Reading) -> Reading | None:
        """The same reading as one of what tells its values apart.

        P(value) = P(band) * P(value | band), so both are evidence.
        """
        measurement = self.model.measurements[entry.measurement]
        finer = entry.value in measurement.finer and measurement.finer_as in self.model.measurements
        return replace(entry, measurement=str(measurement.finer_as)) if finer else None

    @cached_property
    def set_aside(self) -> tuple[Reading, ...]:
        """Takes that a later one replaced; they stay in the record."""
        return tuple(take for pooled in self.taken for take in pooled.set_aside)

    def stands(self, entry: Entry) -> bool:
        """False for a take that a later one replaced."""
        return not any(take is entry for take in self.set_aside)

    def _scatters(self, name: str) -> bool:
        """May takes of a reading that differ, with the fault there, all be true?"""
        return self.intermittent and self.shows(self.model.kb.measurements[name])

    def context(self, repair_epoch: int, symptom: bool) -> Deduction:
        """Facts that go with readings of a repair epoch, the symptom being present or away."""
        key = (repair_epoch, symptom)
        if key not in self._contexts:
            self._contexts[key] = self._deduce(repair_epoch, symptom)
        return self._contexts[key]

    @cached_property
    def _contexts(self) -> dict[tuple[int, bool], Deduction]:
        return {}

    def _deduce(self, repair_epoch: int, symptom: bool) -> Deduction:
        given: dict[str, FactValue] = dict(self.model.equipment)
        given.update(dict.fromkeys((r.repair for r in self.repairs[:repair_epoch]), DONE))
        for taken in self.taken:
            fits = taken.repair_epoch == repair_epoch and (
                taken.symptom is symptom or not self.shows(taken.measurement)
            )
            lasting = taken.repair_epoch <= repair_epoch and HISTORY_KIND in taken.measurement.kinds
            if fits or lasting:
                given[taken.measurement.id] = taken.value
        if not symptom:  # with the complaint away it starts as a sound machine does
            for measurement in self.model.symptoms:
                given.setdefault(measurement.id, measurement.bands[0])
        over = self.standing.silent if repair_epoch == self.repair_epoch else ()
        return self.model.deduce(given, over)

    @property
    def now(self) -> Deduction:
        """Facts of the present repair epoch with the symptom there."""
        return self.context(self.repair_epoch, True)

    @cached_property
    def standing(self) -> Deduction:
        """Facts by the latest take of every reading, whatever was repaired since: what stops rest on.

        A reading with the complaint there is not outdated by one with it away.
        """
        here = self.model.measurements
        own = [e for e in self.entries if not isinstance(e, Reading) or e.measurement in here]
        return case_facts(self.model, own, self._present)

    @cached_property
    def weighed(self) -> tuple[EvidenceItem, ...]:
        """Every reading as evidence, used or not, and what came of each repair."""
        implied = self.implied
        pieces = [self._weigh(taken, taken in implied) for taken in self.taken]
        return (*pieces, *self._outcomes())

    def _weigh(self, taken: PooledReading, implied: bool) -> EvidenceItem:
        measurement = taken.measurement
        deduction = self.context(taken.repair_epoch, taken.symptom)
        facts = deduction.facts
        symptom_probability = self.symptom_probability(measurement, taken.symptom)
        table = self.model.table(measurement.id, facts)
        read = self.read_of(taken, table)
        evidence = self._evidence(measurement.id, read, table, symptom_probability, taken.repair_epoch)
        before = self.before(measurement.id, taken.repair_epoch, taken.symptom)
        if before is not None:
            evidence = replace(evidence, before=before, identity=(evidence.identity, before))
        why_not = None
        if self._only_says_away(taken):
            why_not = "a start that went well says only that the complaint was away just then"
        elif implied:
            why_not = "already implied by the other readings of its sum; kept as a check of them"
        elif measurement.id in deduction.distrusted:
            why_not = self.model.kb.facts[deduction.distrusted[measurement.id]].because
        band = band_of(measurement, taken.value, facts)
        return EvidenceItem(taken, evidence, facts, band, why_not is None, why_not)

    def read_of(self, taken: PooledReading, table: Table[Any]) -> Read:
        """What was read, as evidence: the figure that stands, its error and its chance to be a slip."""
        if isinstance(taken.value, str):
            return Observed(shares_of(taken))
        assert isinstance(table, MeterTable)
        scale, settings = table.scale, self.model.kb.settings
        value = min(abs(taken.value), _LARGEST)
        position = scale.position(value)
        deviation = max(taken.sd / scale.deviation(value), _SUREST)
        slip = settings["slip"] * settings["slip_again"] ** (taken.repeats - 1)
        return Metered(position, deviation, slip, table.slipped.at(position, deviation))

    def before(self, name: str, repair_epoch: int, symptom: bool) -> EarlierReading | None:
        """The same reading under the same condition before the last repair, if it was taken."""
        earlier = [
            t
            for t in self.taken
            if t.measurement.id == name and t.repair_epoch < repair_epoch and t.symptom is symptom
        ]
        if not earlier:
            return None
        taken = max(earlier, key=lambda t: t.repair_epoch)
        table = self.model.table(name, self.context(taken.repair_epoch, symptom).facts)
        repeat_probability = self.model.kb.settings["untouched_keeps"]
        repaired = self.repaired_for(name, taken.repair_epoch)
        return EarlierReading(self.read_of(taken, table), repaired, repeat_probability)

    def _only_says_away(self, taken: PooledReading) -> bool:
        """Is it a normal start of a machine whose complaint comes and goes, not yet cured?"""
        if taken.symptom or SYMPTOM_KIND not in taken.measurement.kinds:
            return False
        normal = all(r.value == self._first_band(taken.measurement.id) for r in taken.readings)
        return normal and (taken.repair_epoch == 0 or self.repairs[taken.repair_epoch - 1].cured is False)

    def _evidence(
        self,
        name: str,
        read: Read,
        table: Table[Any],
        symptom_probability: float,
        repair_epoch: int,
        outcome: RepairOutcome | None = None,
    ) -> Evidence:
        repaired = self.repaired_for(name, repair_epoch)
        identity = (name, id(table), read, outcome)
        return Evidence(name, read, table, symptom_probability, repaired, outcome, identity=identity)

    @cached_property
    def implied(self) -> frozenset[PooledReading]:
        """Readings that the others of a sum already imply: checks, not new evidence."""
        present: dict[tuple[int, bool], dict[str, PooledReading]] = {}
        for taken in self.taken:
            present.setdefault((taken.repair_epoch, taken.symptom), {})[taken.measurement.id] = taken
        found = set()
        for read in present.values():
            for balance in self.model.balances:
                if balance.implied in read and all(n in read for n in (balance.whole, *balance.parts)):
                    found.add(read[balance.implied])
        return frozenset(found)

    def _outcomes(self) -> list[EvidenceItem]:
        """What came of each repair, as evidence on what was left of H after it."""
        symptom = next(iter(self.model.symptoms), None)
        told = [epoch for epoch, repair in enumerate(self.repairs, 1) if repair.cured is not None]
        return [] if symptom is None else [self._outcome(symptom, epoch) for epoch in told]

    def _outcome(self, symptom: Measurement, repair_epoch: int) -> EvidenceItem:
        repair = self.repairs[repair_epoch - 1]
        cured = repair.cured is True
        seen = any(t.measurement is symptom and t.repair_epoch == repair_epoch for t in self.taken)
        # Only the last outcome speaks of what is left, and only where that was not seen for itself;
        # of the others just the chance that the work failed remains.
        speaks = repair_epoch == self.repair_epoch and not seen
        shares = tuple(float(not speaks or (index == 0) is cured) for index in range(len(symptom.bands)))
        failed = self.model.kb.settings["failed_repair"]
        facts = self.context(repair_epoch, not cured).facts
        work, unseen = self.model.repaired_by[repair.repair], self.repair_states[repair_epoch - 1].unseen
        back = self.model.kb.settings["back_soon"]
        chances = (1.0 - failed, 1.0 - back) if cured else (failed, back)
        outcome = RepairOutcome(work, chances[0], unseen, chances[1])
        table = self.model.table(symptom.id, facts)
        evidence = self._evidence(symptom.id, Observed(shares), table, 1.0, repair_epoch, outcome)
        return EvidenceItem(None, evidence, facts, "cured" if cured else "not cured", True)

    @cached_property
    def used(self) -> tuple[EvidenceItem, ...]:
        """The evidence that counts."""
        return tuple(piece for piece in self.weighed if piece.used)

    @cached_property
    def posterior(self) -> Posterior:
        """Chances of all hypotheses about what was wrong at the start."""
        cranks = self.cranks.of(sorted(self.used, key=self._place))
        return self.cranks.posterior(cranks, self.model.latest)

    def posterior_of(self, pieces: Sequence[EvidenceItem]) -> Posterior:
        """The posterior on some of the evidence only."""
        return self.posterior if pieces is self.used else self.cranks.posterior(self.cranks.of(pieces))

    def _place(self, piece: EvidenceItem) -> int:
        """Where its latest entry stands, so that a longer case begins as the shorter one did."""
        takes = piece.taken.readings if piece.taken is not None else ()
        return max((self._places.get(id(take), 0) for take in takes), default=len(self.entries))

    @cached_property
    def _places(self) -> dict[int, int]:
        return {id(entry): place for place, entry in enumerate(self.entries)}

    @cached_property
    def without(self) -> tuple[Posterior, ...]:
        """For each piece of evidence that counts, the posterior on all the others."""
        return self.cranks.each_left_out(self.used, self.posterior)

    @property
    def cranks(self) -> CrankMaker:
        """Sorts evidence into the cranks it came from, and weighs it."""
        return CrankMaker(self.model)
