"""What each rule said of readings, beside what was read: gathered case by case.

What a sound circuit reads is not learned from closed cases. It stands for every fault that has no rule for a
reading, and made narrower it foretold less on solved machines than as it was.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from crankpath.engine.bayes.densities import MAIN, NINE_IN_TEN, NOTHING, SOUND, WHOLE, Density
from crankpath.engine.bayes.evidence import Metered, Observed
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Measurement
from crankpath.engine.learning.closed_case import ClosedCase, ClosedReading

SORTS: Final = (MAIN, NOTHING, WHOLE, SOUND)
"""The parts of a range, in the order in which their shares are told."""
_LEAST: Final = 0.02  # a reading that a rule has a smaller chance to speak of tells nothing of it


class ReadingSample(NamedTuple):
    """One meter reading beside the range that speaks of it.

    weight: chance that it does, shared among the readings of its case of which that rule speaks: they are all
    of the one fault, which was bad once. at: from -1 at the lower end of the range to 1 at the upper, on the
    meter's scale. densities: of the parts in the order of `SORTS` but for the range itself, which is worked
    out anew. slip: chance of a slip; slipped: its density. Densities are over `at`.
    """

    case: str
    measurement: str
    value: float
    weight: float
    at: float
    densities: tuple[float, ...]
    slip: float
    slipped: float


class ObservationSample(NamedTuple):
    """One observation. value: the likeliest of those seen; shares: the weight of each value."""

    case: str
    measurement: str
    value: str
    weight: float
    shares: tuple[float, ...]


@dataclass
class RuleSample:
    """Everything that was read where one rule speaks of one fault.

    narrow: a rule about this fault alone can be put beside it.

    measurement, facts: of the first reading; they stand for the others where an end is a formula.
    """

    rule: str
    fault: str
    narrow: bool
    measurement: Measurement
    facts: Facts
    row: Any
    points: list[ReadingSample] = field(default_factory=list)
    seen: list[ObservationSample] = field(default_factory=list)

    @property
    def weight(self) -> float:
        """How many cases were heard."""
        return sum(point.weight for point in self.points) + sum(one.weight for one in self.seen)

    def add(self, case: str, weight: float, piece: ClosedReading, row: Any) -> None:
        """One more reading."""
        read, taken = piece.read, piece.taken
        if isinstance(read, Observed):
            value = str(taken.value)
            self.seen.append(ObservationSample(case, taken.measurement.id, value, weight, read.shares))
            return
        middle, half = main_part(row)
        if half > 0.0:
            self.points.append(_point(case, weight, piece, read, row, (middle, half)))


def main_part(row: Density) -> tuple[float, float]:
    """Middle and half the width of the range itself, on the meter's scale; (0, 0) where there is none."""
    for _, middle, spread, sort in row.parts:
        if sort == MAIN:
            return middle, spread * NINE_IN_TEN / 2.0
    return 0.0, 0.0


def _point(
    case: str, weight: float, piece: ClosedReading, read: Metered, row: Density, main: tuple[float, float]
) -> ReadingSample:
    (middle, half), taken = main, piece.taken
    densities = []
    for sort in SORTS[1:]:
        parts = [part for part in row.parts if part.sort == sort]
        whole = sum(part.weight for part in parts)
        own = Density(tuple(part.weighing(part.weight / whole) for part in parts)) if whole > 0.0 else None
        densities.append(half * own.at(read.position, read.deviation) if own is not None else 0.0)
    at = (read.position - middle) / half
    of = case, taken.measurement.id, float(taken.value)
    return ReadingSample(*of, weight, at, tuple(densities), read.slip, half * read.slipped)


_Key = tuple[str, str]  # a rule, and the fault that it speaks of


@dataclass
class SampleCollector:
    """Takes closed cases one by one and keeps what each rule has to be held against, fault by fault."""

    heard: dict[_Key, RuleSample] = field(default_factory=dict)
    cases: int = 0

    def take(self, closed: ClosedCase) -> None:
        """One more case; of one in which several faults were found nothing can be told of either."""
        if not closed.blame:
            return
        self.cases += 1
        model = closed.model
        told: dict[_Key, list[tuple[ClosedReading, Any, float]]] = {}
        for piece in closed.pieces:
            weights: dict[_Key, float] = {}
            rows: dict[_Key, Any] = {}
            for element, effect in piece.effects.items():
                key = effect.rule, model.elements[element].fault
                weights[key], rows[key] = weights.get(key, 0.0) + closed.blame[element], effect.row
            for key, weight in weights.items():
                if weight >= _LEAST:
                    told.setdefault(key, []).append((piece, rows[key], weight))
        for key, readings in told.items():
            if key not in self.heard:
                first, row, _ = readings[0]
                narrow = model.may_be_narrowed(*key)
                self.heard[key] = RuleSample(*key, narrow, first.taken.measurement, first.facts, row)
            for piece, row, weight in readings:
                self.heard[key].add(closed.name, weight / len(readings), piece, row)
