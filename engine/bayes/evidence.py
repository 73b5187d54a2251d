"""What one piece of evidence is: a reading, or what came of a repair, with what it speaks of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul
from typing import Any

from crankpath.engine.bayes.densities import OF_DEVIATION, Component, Density, ReadingDensity
from crankpath.engine.bayes.hypotheses import NOTHING_REPAIRED, RepairState
from crankpath.engine.bayes.tables import Members, Table


@dataclass(frozen=True, slots=True)
class Observed:
    """An observation: the weight of each of its values, summing to 1."""

    shares: tuple[float, ...]

    def weigh(self, row: Sequence[float]) -> float:
        """P(observation) under a row of chances."""
        weight: float = sum(map(mul, self.shares, row))
        return weight

    def repeats(self, earlier: Observed) -> float:
        """How far it says the same as an earlier observation."""
        return self.weigh(earlier.shares)

    @property
    def slip(self) -> float:
        """An observation is never taken for one of another machine."""
        return 0.0

    @property
    def slipped(self) -> float:
        """So nothing is known of what it would be there."""
        return 0.0


@dataclass(frozen=True, slots=True)
class Metered:
    """A meter reading.

    Attributes:
        position: on the meter's own scale.
        deviation: standard deviation there; 1 is that of one ordinary reading.
        slip: chance that it is none of this circuit's. slipped: its density if so.
    """

    position: float
    deviation: float = 1.0
    slip: float = 0.0
    slipped: float = 0.0

    def weigh(self, row: ReadingDensity) -> float:
        """Density of the reading under a row, a slip allowed for."""
        return (1.0 - self.slip) * row.at(self.position, self.deviation) + self.slip * self.slipped

    def repeats(self, earlier: Metered) -> float:
        """Density of reading this again where an earlier reading was taken and nothing has changed."""
        again = Density((Component(1.0, earlier.position, 1.5 * OF_DEVIATION),))
        return again.at(self.position, self.deviation)


Read = Observed | Metered


@dataclass(frozen=True, slots=True)
class RepairOutcome:
    """What came of a repair, for sets of faults of which none would show any more.

    work: elements this repair took away. chance: of the outcome, where this repair was the
    work that should have cured; a repair that had nothing to do with the set changes nothing.
    unseen: elements that did not show before it. hidden: chance of the outcome where all that is left
    is hidden now: what emptied a battery is back only days after the charge.
    """

    work: frozenset[int]
    chance: float
    unseen: frozenset[int] = frozenset()
    hidden: float = 1.0

    def outcome_likelihood(self, members: Members, repaired: RepairState, shown: float) -> float:
        """P(outcome) for a set of faults, none of which would show; ``shown``: by what it is seen to do."""
        if repaired.empties(members):
            return 1.0 if self.work.isdisjoint(members) else self.chance
        return shown if self.unseen.issuperset(members) else shown * self.hidden


@dataclass(frozen=True, slots=True)
class EarlierReading:
    """The same reading as it was before a repair.

    read: what was read then. repaired: what repairs had taken away by then. repeat_probability:
    chance that a part nobody touched reads as it did.
    """

    read: Read
    repaired: RepairState
    repeat_probability: float

    def untouched(self, table: Table[Any], members: Members, repaired: RepairState) -> bool:
        """True if no repair since then took away anything that this reading sees of a set of faults."""
        return table.touched(self.repaired.left(members)) == table.touched(repaired.left(members))

    def weigh(self, read: Read, fresh: float) -> float:
        """Likelihood of a reading taken again of what is untouched: it mostly reads as before."""
        again = read.repeats(self.read)  # type: ignore[arg-type]
        return self.repeat_probability * again + (1.0 - self.repeat_probability) * fresh


@dataclass(frozen=True)
class Evidence:
    """One piece of evidence: a reading with what it speaks of.

    Attributes:
        name: the measurement.
        read: what was read.
        table: P(reading | H) in force when it was taken.
        symptom_probability: chance that the complaint was there while it was taken: 1 and 0 where that
            was seen; between them where nothing was cranked, so that nobody could see it.
        repaired: what repairs had taken away by then.
        outcome: for evidence on what came of a repair; None elsewhere.
        before: the same reading before a repair, if it was taken then.
        identity: equal for pieces that say the same.
    """

    name: str
    read: Read
    table: Table[Any]
    symptom_probability: float = 1.0
    repaired: RepairState = NOTHING_REPAIRED
    outcome: RepairOutcome | None = None
    before: EarlierReading | None = None
    identity: object = None


@dataclass(frozen=True)
class Sum:
    """Readings that add up, taken while the same current flowed: a leg and some of its parts.

    What the parts leave of the whole is the drop of the rest, which no part sees; so the same bad
    joint is not taken for two sizes at once.

    Attributes:
        whole: the reading across all.
        parts: readings across pieces of it, none overlapping.
        rests: the rest as a reading of its own, first with every part taken off, then once with each
            part left out, as one of them may be a slip; beside each what turns its density into one of
            the whole.
    """

    whole: Evidence
    parts: tuple[Evidence, ...]
    rests: tuple[tuple[Evidence, float], ...]

    @property
    def identity(self) -> object:
        """Equal for sums that say the same."""
        return (self.whole.identity, *(part.identity for part in self.parts))


Factor = Evidence | Sum
"""What is independent of everything else, given the faults."""
