"""Outcomes of many trials boiled down to figures; data only."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, median
from typing import Final

from crankpath.engine.trials.trial import TrialOutcome

ENOUGH: Final = 50
"""Repairs in a tenth from which on what was stated is held against what came of it."""

WITHIN: Final = 0.05
"""How far the two may be apart."""


@dataclass(frozen=True, slots=True)
class CalibrationBin:
    """Of the repairs named with a chance in [low, high): how many, mean stated chance, how many right."""

    low: float
    high: float
    count: int
    stated: float
    right: float

    @property
    def sampling(self) -> float:
        """Standard error of the share right, were the stated chance true: sqrt(p (1 - p) / n)."""
        return sqrt(self.stated * (1.0 - self.stated) / self.count)

    @property
    def off(self) -> bool:
        """True if enough repairs were named and what was stated is too far from what came of it."""
        return self.count >= ENOUGH and abs(self.stated - self.right) > WITHIN


@dataclass(frozen=True, slots=True)
class Summary:
    """Figures of one policy over one set of machines; shares from 0 to 1, minutes as means."""

    machines: int
    first_right: float
    right_parts: float
    cured_clean: float
    cured: float
    minutes_before: float
    minutes: float
    readings: float
    wrong: float
    calibration_bins: tuple[CalibrationBin, ...]
    brier: float | None
    step_median: float | None
    step_worst: float | None


def summarise(outcomes: Sequence[TrialOutcome]) -> Summary:
    """Summary figures of outcomes.

    ``first_right``: the first repair was one that was needed. ``right_parts``: cured, and no part
    replaced that was good. ``cured_clean``: cured, and no repair at all that was not needed.
    ``brier``: mean squared error of stated chances.
    """
    named = [pair for outcome in outcomes for pair in outcome.named]
    seconds = [second for outcome in outcomes for second in outcome.seconds]
    return Summary(
        len(outcomes),
        _mean(outcomes, lambda o: o.first_right),
        _mean(outcomes, lambda o: o.cured and not o.parts),
        _mean(outcomes, lambda o: o.cured and not o.wrong),
        _mean(outcomes, lambda o: o.cured),
        _mean(outcomes, lambda o: o.minutes_before),
        _mean(outcomes, lambda o: o.minutes),
        _mean(outcomes, lambda o: len(o.readings)),
        _mean(outcomes, lambda o: len(o.wrong)),
        calibration_bins(named),
        fmean((chance - right) ** 2 for chance, right in named) if named else None,
        median(seconds) if seconds else None,
        max(seconds) if seconds else None,
    )


def _mean(outcomes: Sequence[TrialOutcome], figure: Callable[[TrialOutcome], float]) -> float:
    return fmean(float(figure(outcome)) for outcome in outcomes) if outcomes else 0.0


def calibration_bins(named: Sequence[tuple[float, bool]]) -> tuple[CalibrationBin, ...]:
    """(chance stated, was it right) by tenths of the chance; tenths without any are left out."""
    found = []
    for tenth in range(10):
        low, high = tenth / 10, (tenth + 1) / 10
        inside = [(c, r) for c, r in named if low <= c < high or (tenth == 9 and c == 1.0)]
        if inside:
            stated, right = fmean(c for c, _ in inside), fmean(r for _, r in inside)
            found.append(CalibrationBin(low, high, len(inside), stated, right))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Mistake:
    """One fault: how often drawn, how often its first repair was right, what was repaired instead."""

    fault: str
    machines: int
    first_right: float
    instead: tuple[tuple[str, int], ...]


def mistakes(outcomes: Sequence[TrialOutcome]) -> tuple[Mistake, ...]:
    """Per fault what it is mistaken for, worst first."""
    found = []
    for fault in sorted({fault for outcome in outcomes for fault in outcome.truth}):
        mine = [outcome for outcome in outcomes if fault in outcome.truth]
        instead = Counter(o.first_repair or "no repair" for o in mine if not o.first_right)
        found.append(
            Mistake(fault, len(mine), _mean(mine, lambda o: o.first_right), tuple(instead.most_common()))
        )
    return tuple(sorted(found, key=lambda mistake: (mistake.first_right, -mistake.machines)))
