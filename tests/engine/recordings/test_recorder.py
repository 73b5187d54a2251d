"""What a recorder connected to the solved machine writes."""

from __future__ import annotations

import random

import pytest
from recorder import CURRENT, CrankWave, Style, draw_crank, recording_lines

from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.solved.wiring import MINUS, PLUS

BATTERY = "battery_crank_voltage"
NAMES = (BATTERY, CURRENT)


def crank_of(seed: int = 1) -> tuple[CrankWave, float, float]:
    """A crank of a sound machine, and what battery and clamp read on it by the solved circuit."""
    machine = draw_machine(random.Random(seed), None, faults={})
    solution = machine.solution()
    wave = draw_crank(random.Random(seed), machine, NAMES, 6, 2.0)
    return wave, solution.across(PLUS, MINUS), abs(solution.currents["positive_cable"])


@pytest.mark.parametrize("seed", range(5))
def test_a_crank_settles_at_what_the_solved_circuit_reads(seed: int) -> None:
    wave, volts, amperes = crank_of(seed)
    turns = 5 / wave.hertz  # whole compressions, over which the ripple cancels
    times = [wave.end - turns + i * turns / 2000 for i in range(2000)]
    assert sum(wave.value(BATTERY, t) for t in times) / 2000 == pytest.approx(volts, rel=0.01)
    assert sum(wave.value(CURRENT, t) for t in times) / 2000 == pytest.approx(amperes, rel=0.02)


@pytest.mark.parametrize("seed", range(5))
def test_the_first_peak_is_that_of_a_motor_held_still(seed: int) -> None:
    wave, volts, amperes = crank_of(seed)
    first = [wave.value(CURRENT, wave.begin + i / 10000) for i in range(1500)]
    assert amperes < max(first) <= wave.still[CURRENT]
    assert min(wave.value(BATTERY, wave.begin + i / 10000) for i in range(1500)) < volts


def test_before_and_long_after_it_the_machine_rests() -> None:
    wave, _, _ = crank_of()
    assert wave.value(BATTERY, wave.begin - 0.1) == wave.rest[BATTERY]
    assert wave.value(BATTERY, wave.end + 0.1) == pytest.approx(wave.rest[BATTERY])


def lines_of(style: Style) -> list[str]:
    wave, _, _ = crank_of()
    return list(recording_lines(random.Random(1), style, [wave], NAMES, 8.0, 12.0))


def test_a_style_says_how_it_is_written() -> None:
    lines = lines_of(Style(rate=100, separator=";", decimal=",", time="clock", noise=0.0))
    assert lines[0] == f"time;{BATTERY} [V];{CURRENT} [A]\n"
    assert lines[1].startswith("08:00:00.000000;")
    assert lines[1].split(";")[1].count(",") == 1
    assert len(lines) == 801


def test_samples_are_lost_left_empty_and_written_as_nothing_as_often_as_the_style_says() -> None:
    whole = lines_of(Style(rate=1000))
    spoilt = lines_of(Style(rate=1000, lost=0.01, blank=0.05, zeros=0.05))
    assert 0.9 * len(whole) < len(spoilt) < 0.99 * len(whole)
    cells = [line.strip().split(",")[1:] for line in spoilt[1:]]
    assert 0.03 < sum("" in row for row in cells) / len(cells) < 0.07
    assert 0.02 < sum(row == ["0.000", "0.000"] for row in cells) / len(cells) < 0.07
