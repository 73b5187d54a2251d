"""Figures of an evaluation as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from crankpath.engine.trials.ahead.progress_accuracy import ForecastAccuracy
from crankpath.engine.trials.report import CalibrationBin, Mistake, Summary


def evaluation_lines(sort: str, policy: str, s: Summary, worst: Sequence[Mistake]) -> Iterator[str]:
    """The summary of one policy on one sort of machines, then what faults were mistaken for."""
    yield f"{sort}, {policy}: {s.machines} machines"
    yield f"  first repair right    {s.first_right:.3f}"
    yield f"  cured, no wrong part  {s.right_parts:.3f}   no needless work {s.cured_clean:.3f}"
    yield f"  cured                 {s.cured:.3f}   wrong repairs {s.wrong:.2f}"
    yield f"  minutes before cure   {s.minutes_before:.1f}   in all {s.minutes:.1f}"
    yield f"  readings              {s.readings:.1f}"
    if s.brier is not None:
        yield f"  Brier score           {s.brier:.4f}"
        yield from map(_tenth, s.calibration_bins)
    if s.step_median is not None and s.step_worst is not None:
        median, worst_step = 1000 * s.step_median, 1000 * s.step_worst
        yield f"  step                  {median:.1f} ms median, {worst_step:.1f} ms worst"
    for mistake in worst:
        instead = ", ".join(f"{repair} {count}" for repair, count in mistake.instead[:4])
        yield f"  {mistake.fault:28} {mistake.machines:4d}  right {mistake.first_right:.2f}  {instead}"


def _tenth(tenth: CalibrationBin) -> str:
    """One line of stated chance against truth, with what sampling alone may do to it."""
    line = (
        f"    named {tenth.low:.1f}-{tenth.high:.1f}: {tenth.count:5d}   stated {tenth.stated:.3f}   "
        f"right {tenth.right:.3f} +- {tenth.sampling:.3f}"
    )
    return line + ("   TOO FAR APART" if tenth.off else "")


def forecast_lines(sort: str, held: Sequence[ForecastAccuracy]) -> Iterator[str]:
    """What was said to be left to read, against what was then read before a repair was named."""
    yield f"{sort}: readings and minutes left, as stated and as taken"
    for one in held:
        yield (
            f"  {one.low:g} to {one.high:g} readings: {one.count:5d}   "
            f"stated {one.stated.readings:.1f}, {one.stated.minutes:.0f} min   "
            f"taken {one.taken.readings:.1f}, {one.taken.minutes:.0f} min"
        )
