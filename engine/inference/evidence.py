"""What one piece of evidence is: a reading, or what came of a repair, with what it speaks of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul

from crankpath.engine.inference.hypotheses import NOTHING_REPAIRED, RepairState
from crankpath.engine.inference.tables import Members, Table


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a repair, for sets of faults of which every one has been repaired.

    work: elements this repair took away. chance: of the outcome, where this repair was the
    work that should have cured; a repair that had nothing to do with the set changes nothing.
    """

    work: frozenset[int]
    chance: float

    def outcome_likelihood(self, members: Members) -> float:
        """P(outcome) for a set of faults of which every one has been repaired."""
        return 1.0 if self.work.isdisjoint(members) else self.chance


@dataclass(frozen=True, slots=True)
class EarlierReading:
    """The same reading as it was before a repair.

    shares: weight of each band then. mended: what repairs had taken away by then. keeps:
    chance that a part nobody touched reads as it did.
    """

    shares: tuple[float, ...]
    mended: RepairState
    repeat_probability: float

    def untouched(self, table: Table, members: Members, mended: RepairState) -> bool:
        """True if no repair since then took away anything that this reading sees of a set of faults."""
        return table.touched(self.mended.left(members)) == table.touched(mended.left(members))

    def chances(self, fresh: Sequence[float]) -> tuple[float, ...]:
        """Chances of the bands for what is untouched, from those of a first reading.

        A reading taken again is no new evidence on it: it mostly reads as before.
        """
        pairs = zip(self.shares, fresh, strict=True)
        again = self.repeat_probability
        return tuple(again * was + (1.0 - again) * chance for was, chance in pairs)

    def value(self, shares: Sequence[float], fresh: float) -> float:
        """The same, weighed with what is read now."""
        again: float = sum(map(mul, shares, self.shares))
        return self.repeat_probability * again + (1.0 - self.repeat_probability) * fresh


@dataclass(frozen=True)
class Evidence:
    """One piece of evidence: a reading's shares over the bands, with what it speaks of.

    Attributes:
        name: the measurement.
        shares: weight of each band, summing to 1 (soft evidence near a limit).
        table: P(band | H) in force when it was taken.
        key: names the set of elements with an effect in the table.
        presence: chance that the complaint was there while it was taken: 1 and 0 where that was seen;
            between them where nothing was cranked, so that nobody could see it.
        mended: what repairs had taken away by then.
        outcome: for evidence on what came of a repair; None elsewhere.
        before: the same reading before a repair, if it was taken then.
    """

    name: str
    shares: tuple[float, ...]
    table: Table
    key: object
    symptom_probability: float = 1.0
    mended: RepairState = NOTHING_REPAIRED
    outcome: Outcome | None = None
    before: EarlierReading | None = None
    identity: object = None

    @property
    def unseen(self) -> bool:
        """True where nobody could see whether the complaint was there."""
        return 0.0 < self.symptom_probability < 1.0
