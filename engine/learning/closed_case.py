"""A closed case: what was found at fault, what was read before the cure, how surely it was which fault."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod
from typing import Any, Final

from crankpath.engine.bayes.evidence import Metered, Observed, Read
from crankpath.engine.bayes.tables import Effect
from crankpath.engine.cases.case import Case
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.bands import shares_of
from crankpath.engine.inference.entries import Entry, Repaired
from crankpath.engine.inference.model import Model
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.inference.ranges import scale_of
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Fault

_LARGEST: Final = 1e9  # an open circuit read as "OL"
_SUREST: Final = 0.3  # least standard deviation of a reading, in those of an ordinary one


@dataclass(frozen=True, eq=False)
class ClosedReading:
    """One reading of a closed case, taken before the cure with the complaint there.

    Attributes:
        taken: the takes that stand, as one figure.
        facts: in force when it was taken.
        read: the same on the meter's own scale, or the weight of each value observed.
        effects: element -> what it makes of the reading; those that change nothing are left out.
        healthy: place of the healthy entry that holds, and what a sound circuit reads by it.
        left: the elements at fault that were still there.
        implied: the other readings of a sum say the same.
    """

    taken: PooledReading
    facts: Facts
    read: Read
    effects: Mapping[int, Effect[Any]]
    healthy: tuple[int, Any]
    left: frozenset[int]
    implied: bool


@dataclass(frozen=True)
class ClosedCase:
    """A closed case with what was found.

    Attributes:
        name: of the case.
        case: its machine and entries.
        found: of every group of fault ids one was there; faults that one repair cures are not told apart
            by it. Empty where nothing is known.
    """

    name: str
    case: Case
    found: tuple[tuple[str, ...], ...]

    @property
    def model(self) -> Model:
        """The machine under the knowledge base."""
        return self.case.assessment.model

    @cached_property
    def before_repair(self) -> Assessment:
        """The case as it stood before the first repair."""
        return Assessment(self.model, self.case.entries[: self._first(lambda _: True)])

    @cached_property
    def before_cure(self) -> Assessment:
        """The case as it stood before the repair that cured; before the first one where none is said to."""
        cures = any(isinstance(entry, Repaired) and entry.cured for entry in self.case.entries)
        until = self._first(lambda repair: repair.cured is True or not cures)
        return Assessment(self.model, self.case.entries[:until])

    def _first(self, wanted: Any) -> int:
        entries: Sequence[Entry] = self.case.entries
        places = (n for n, entry in enumerate(entries) if isinstance(entry, Repaired) and wanted(entry))
        return next(places, len(entries))

    @cached_property
    def suspects(self) -> tuple[int, ...]:
        """The elements of the one fault that was there; empty where none or several were found."""
        if len(self.found) != 1:
            return ()
        own = self.model.elements_of
        return tuple(element for fault in self.found[0] for element in own.get(fault, ()))

    @cached_property
    def pieces(self) -> tuple[ClosedReading, ...]:
        """What was read before the cure with the complaint there, and is trusted."""
        assessment, found = self.before_cure, []
        implied = assessment.implied
        for taken in assessment.taken:
            deduction = assessment.context(taken.repair_epoch, taken.symptom)
            there = assessment.symptom_probability(taken.measurement, taken.symptom) == 1.0
            if there and taken.measurement.id not in deduction.distrusted:
                found.append(self._piece(taken, deduction.facts, taken in implied))
        return tuple(found)

    def _piece(self, taken: PooledReading, facts: Facts, implied: bool) -> ClosedReading:
        repaired = self.before_cure.repair_states[taken.repair_epoch]
        left = frozenset(element for element in self.suspects if repaired.left((element,)))
        effects = self.model.effects(taken.measurement.id, facts, left)
        healthy = self.model.healthy(taken.measurement.id, facts)
        return ClosedReading(taken, facts, _read(self.model, taken, facts), effects, healthy, left, implied)

    @cached_property
    def blame(self) -> Mapping[int, float]:
        """Element at fault -> its chance, given the repair and everything read; sums to 1.

        The expectation step of Dempster, Laird & Rubin (1977; from memory): a repair that cures several
        faults counts for each of them by that.
        """
        elements = self.model.elements
        weights = {
            element: elements[element].chance
            * prod(self._weigh(piece, element) for piece in self.pieces if not piece.implied)
            for element in self.suspects
        }
        whole = sum(weights.values())
        return {element: weight / whole for element, weight in weights.items()} if whole > 0.0 else {}

    def _weigh(self, piece: ClosedReading, element: int) -> float:
        effect = piece.effects.get(element)
        return piece.read.weigh(piece.healthy[1] if effect is None else effect.row)

    @cached_property
    def blamed_faults(self) -> Mapping[str, float]:
        """Fault -> how much of this case it counts for; sums to the number of faults found."""
        found: dict[str, float] = {}
        for group in self.found:
            for fault in group:
                found[fault] = found.get(fault, 0.0) + 1.0 / len(group)
        if len(self.found) == 1 and len(self.found[0]) > 1 and self.blame:
            found = dict.fromkeys(self.found[0], 0.0)
            for element, chance in self.blame.items():
                found[self.model.elements[element].fault] += chance
        return found


def _read(model: Model, taken: PooledReading, facts: Facts) -> Read:
    """What was read; a slip may have read anything that the meter can show."""
    if isinstance(taken.value, str):
        return Observed(shares_of(taken))
    scale, settings = scale_of(taken.measurement), model.kb.settings
    value = min(abs(taken.value), _LARGEST)
    most = max(scale.position(model.most(taken.measurement.id, facts)), 1.0)
    deviation = max(taken.sd / scale.deviation(value), _SUREST)
    slip = settings["slip"] * settings["slip_again"] ** (taken.repeats - 1)
    return Metered(scale.position(value), deviation, slip, 1.0 / most)


def grouped(causes: Iterable[str], faults: Mapping[str, Fault]) -> tuple[tuple[str, ...], ...]:
    """Confirmed faults in groups: of those that one repair cures, one was there."""
    groups: dict[str, list[str]] = {}
    for cause in dict.fromkeys(causes):
        groups.setdefault(faults[cause].repair, []).append(cause)
    return tuple(map(tuple, groups.values()))


def confirmed_faults(case: Case) -> tuple[str, ...]:
    """The faults one of which was taken away, by the repair that cured or one not known to have failed.

    Empty where no repair is said to have cured.
    """
    done: list[str] = []
    for entry in case.entries:
        if isinstance(entry, Repaired):
            if entry.cured is not False:
                done.append(entry.repair)
            if entry.cured:
                here = case.assessment.model.faults.values()
                return tuple(fault.id for fault in here if fault.repair in done)
    return ()
