"""How much reading the advice said was left, held against what was then read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from statistics import fmean
from typing import Final

from crankpath.engine.advice.ahead.progress import Progress
from crankpath.engine.cases.case import Case
from crankpath.engine.trials.trial import Policy, TrialStep

EDGES: Final = (0.0, 1.5, 2.5, 3.5, 5.0, 7.0, 100.0)
"""Stated readings, parted for the table."""


@dataclass(frozen=True, slots=True)
class ProgressForecast:
    """At one step: what was stated, and what was then read before the next repair was named."""

    stated: Progress
    taken: Progress


@dataclass
class ForecastingPolicy:
    """A policy that notes at each reading what the advice says is left."""

    policy: Policy
    _noted: list[tuple[Progress | None, float, int]] = field(default_factory=list)

    def next(self, case: Case) -> TrialStep:
        """The policy's own step."""
        step = self.policy.next(case)
        reads = step.action == "measure"
        self._noted.append((case.progress() if reads else None, step.minutes, max(len(step.together), 1)))
        return step

    def afterwards(self, case: Case) -> TrialStep:
        """The policy's own."""
        return self.policy.afterwards(case)

    def foretold(self) -> list[ProgressForecast]:
        """Every reading's statement with what came of it."""
        found: list[ProgressForecast] = []
        readings = minutes = 0.0
        for stated, spent, count in reversed(self._noted):
            if stated is None:  # a repair was named, or the end
                readings = minutes = 0.0
                continue
            readings, minutes = readings + count, minutes + spent
            found.append(ProgressForecast(stated, Progress(readings, minutes)))
        return found[::-1]


@dataclass(frozen=True, slots=True)
class ForecastAccuracy:
    """Statements between low and high readings: how many, and the means of what was stated and taken."""

    low: float
    high: float
    count: int
    stated: Progress
    taken: Progress


def forecast_accuracy(foretold: Sequence[ProgressForecast]) -> tuple[ForecastAccuracy, ...]:
    """Statements by the number of readings they stated; parts without any are left out."""
    found = []
    for low, high in pairwise(EDGES):
        inside = [one for one in foretold if low <= one.stated.readings < high]
        if inside:
            stated, taken = _mean(one.stated for one in inside), _mean(one.taken for one in inside)
            found.append(ForecastAccuracy(low, high, len(inside), stated, taken))
    return tuple(found)


def _mean(told: Iterable[Progress]) -> Progress:
    listed = list(told)
    return Progress(fmean(one.readings for one in listed), fmean(one.minutes for one in listed))
