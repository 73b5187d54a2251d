"""What happens in a case, in order; a case is nothing else than its entries."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading or observation, as typed and as understood.

    value: number in the measurement's unit, or the observed value's id.
    spread: half the range when a range or min/max was typed, in the unit; of several figures in a
    line, the half-width of an even spread as wide as the error of their mean.
    repeats: how many figures the value is the mean of.
    symptom: whether the complaint showed while it was taken.
    cable: which of the cables in parallel, from 1, where they are read one by one.
    crank: number of the crank in this case on which it was read, from 1; readings of one crank
    share it. None: it was not told to be of the same crank as another.
    """

    measurement: str
    value: float | str
    text: str
    symptom: bool = True
    cable: int = 1
    note: str | None = None
    spread: float | None = None
    crank: int | None = None
    repeats: int = 1


@dataclass(frozen=True, slots=True)
class CannotTake:
    """There is no means to take this reading here."""

    measurement: str


@dataclass(frozen=True, slots=True)
class Tries:
    """Of so many tries at the key, how many failed.

    waiting: made while waiting for a failure, to read it. They were not chosen evenly, so they say
    nothing of how often the machine fails.
    """

    failures: int
    of: int
    waiting: bool = False


@dataclass(frozen=True, slots=True)
class Repaired:
    """A repair was made; ``cured`` tells whether the complaint is gone, None that it is not yet known."""

    repair: str
    cured: bool | None = None


Entry = Reading | CannotTake | Tries | Repaired
