"""Figures of an evaluation, line by line."""

from __future__ import annotations

from crankpath.engine.advice.ahead.progress import Progress
from crankpath.engine.trials.ahead.progress_accuracy import ForecastAccuracy
from crankpath.engine.trials.report import CalibrationBin, Mistake, Summary
from crankpath.shell.outlets.reports.evaluation import evaluation_lines, forecast_lines

TENTHS = (
    CalibrationBin(0.7, 0.8, 12, 0.75, 1.0),  # far off, but too few to say so
    CalibrationBin(0.8, 0.9, 100, 0.85, 0.91),
    CalibrationBin(0.9, 1.0, 400, 0.96, 0.97),
)
SUMMARY = Summary(512, 0.96, 0.97, 0.95, 0.99, 61.25, 120.5, 10.4, 0.05, TENTHS, 0.0312, 0.006, 0.081)


def test_a_tenth_that_is_too_far_off_is_marked_once_enough_repairs_were_named() -> None:
    assert list(evaluation_lines("single", "advice", SUMMARY, [])) == [
        "single, advice: 512 machines",
        "  first repair right    0.960",
        "  cured, no wrong part  0.970   no needless work 0.950",
        "  cured                 0.990   wrong repairs 0.05",
        "  minutes before cure   61.2   in all 120.5",
        "  readings              10.4",
        "  Brier score           0.0312",
        "    named 0.7-0.8:    12   stated 0.750   right 1.000 +- 0.125",
        "    named 0.8-0.9:   100   stated 0.850   right 0.910 +- 0.036   TOO FAR APART",
        "    named 0.9-1.0:   400   stated 0.960   right 0.970 +- 0.010",
        "  step                  6.0 ms median, 81.0 ms worst",
    ]


def test_what_a_fault_is_mistaken_for_stands_below() -> None:
    worst = Mistake("engine_drag", 13, 0.77, (("replace_starter", 2), ("replace_solenoid", 1)))
    assert list(evaluation_lines("single", "advice", SUMMARY, [worst]))[-1] == (
        "  engine_drag                    13  right 0.77  replace_starter 2, replace_solenoid 1"
    )


def test_what_was_said_to_be_left_stands_beside_what_was_read() -> None:
    held = ForecastAccuracy(1.5, 2.5, 12, Progress(2.0, 9.6), Progress(2.4, 11.2))
    assert list(forecast_lines("single", [held])) == [
        "single: readings and minutes left, as stated and as taken",
        "  1.5 to 2.5 readings:    12   stated 2.0, 10 min   taken 2.4, 11 min",
    ]
