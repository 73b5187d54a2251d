"""What was said to be left, held against what was read."""

from __future__ import annotations

from dataclasses import dataclass, field

from crankpath.engine.advice.ahead.progress import Progress
from crankpath.engine.trials.ahead.progress_accuracy import (
    ForecastingPolicy,
    ProgressForecast,
    forecast_accuracy,
)
from crankpath.engine.trials.trial import TrialStep


@dataclass
class Scripted:
    """A policy that takes these steps, whatever the case."""

    steps: list[TrialStep] = field(default_factory=list)

    def next(self, case: object) -> TrialStep:
        """The next of them."""
        return self.steps.pop(0)


class Said:
    """A case that always says the same is left."""

    def progress(self) -> Progress:
        """Two readings, ten minutes."""
        return Progress(2.0, 10.0)


def test_each_reading_is_held_against_those_up_to_the_next_repair() -> None:
    steps = [
        TrialStep("measure", "a", minutes=3.0), TrialStep("measure", "b", minutes=4.0),
        TrialStep("repair", "r"), TrialStep("measure", "c", minutes=1.0), TrialStep("stop"),
    ]  # fmt: skip
    policy = ForecastingPolicy(Scripted(list(steps)))
    for _ in steps:
        policy.next(Said())  # type: ignore[arg-type]
    taken = [(one.taken.readings, one.taken.minutes) for one in policy.foretold()]
    assert taken == [(2.0, 7.0), (1.0, 4.0), (1.0, 1.0)]


def test_statements_are_compared_by_what_they_stated() -> None:
    told = [
        ProgressForecast(Progress(1.0, 4.0), Progress(1.0, 5.0)),
        ProgressForecast(Progress(1.2, 6.0), Progress(3.0, 7.0)),
        ProgressForecast(Progress(4.0, 20.0), Progress(4.0, 20.0)),
    ]
    first, last = forecast_accuracy(told)
    assert (first.count, first.stated.minutes, first.taken.readings) == (2, 5.0, 2.0)
    assert (last.low, last.high, last.count) == (3.5, 5.0, 1)
