"""What a recorder connected to the solved machine writes: cranks over time, with all that spoils a recording.

While the motor comes up to speed its voltage rises from nothing, and with every compression it rises and
falls a little. The circuit is linear in that voltage, so each test point lies between what it reads with
the motor held still and what it reads at the speed the machine settles at.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.solved.machine import Machine
from crankpath.engine.solved.meter import points_of
from crankpath.engine.solved.network import Solution, solve
from crankpath.engine.solved.wiring import MINUS, MOTOR_BRANCH

CURRENT: Final = "crank_current"
_BEGINS: Final = 8 * 3600.0  # s of the day at which a recording by the clock begins


@dataclass(frozen=True, slots=True)
class CrankWave:
    """One crank as it truly was, for as many measurements as are recorded.

    begin, end: s. hertz: compressions a second in its middle, 0 if nothing turns. rest, still, run: what each
    measurement reads before, with the motor held still, and at speed (V or A). rises: seconds in which
    the speed comes up. sways: ripple as a share of the speed. speeds_up: share of the speed per second.
    """

    begin: float
    end: float
    rpm: float
    hertz: float
    rest: dict[str, float]
    still: dict[str, float]
    run: dict[str, float]
    rises: float
    sways: float
    speeds_up: float

    def value(self, measurement: str, time: float) -> float:
        """What a perfect recorder would show, V or A."""
        rest, still, run = (each[measurement] for each in (self.rest, self.still, self.run))
        if time < self.begin:
            return rest
        since = min(time, self.end) - self.begin
        speed = 1 - math.exp(-since / self.rises)
        if self.hertz:
            phase = 2 * math.pi * self.hertz * (since + self.speeds_up * since * (since - self.length) / 2)
            speed *= 1 + self.sways * (math.sin(phase) + 0.25 * math.sin(2 * phase + 1))
        loaded = still + (run - still) * speed
        flows = 1 - math.exp(-since / 0.003)  # the windings' inductance
        if time > self.end:
            flows *= math.exp(-(time - self.end) / 0.002)
        return rest + flows * (loaded - rest)

    @property
    def length(self) -> float:
        """How long it lasts, s."""
        return self.end - self.begin


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """How a recorder writes.

    rate: samples a second. noise: standard deviation as a share of the machine's voltage, of 1000 A
    for a current. digits: after the decimal sign. time: s, ms, clock or date. lost: share of the
    samples lacking, in runs; blank: share with an empty cell; zeros: share that reads nothing.
    """

    rate: float = 500.0
    noise: float = 0.001
    digits: int = 3
    separator: str = ","
    decimal: str = "."
    time: str = "s"
    lost: float = 0.0
    blank: float = 0.0
    zeros: float = 0.0
    header: bool = True


def draw_style(rng: random.Random, slowest: float = 20.0) -> Style:
    """A recorder as one is met, from a slow logger to an oscilloscope."""
    rate = rng.choice([r for r in (20.0, 50.0, 100.0, 250.0, 500.0, 1000.0, 2000.0) if r >= slowest])
    separator = rng.choice((",", ";", "\t"))
    return Style(
        rate=rate, noise=10 ** rng.uniform(-4, -2.3), digits=rng.choice((2, 3, 4)), separator=separator,
        decimal="." if separator == "," else rng.choice(".,"), time=rng.choice(("s", "ms", "clock", "date")),
        lost=rng.choice((0.0, 0.0, 0.002)), blank=rng.choice((0.0, 0.001)), zeros=rng.choice((0.0, 0.001)),
        header=rng.random() < 0.8,
    )  # fmt: skip


def draw_crank(rng: random.Random, machine: Machine, measurements: Sequence[str], cylinders: int,
               begin: float, symptom: bool = True) -> CrankWave:  # fmt: skip
    """One crank of a machine that begins at that second."""
    outcome = machine.outcome(symptom)
    rested = machine.at_rest(symptom)[1]
    held = solve((replace(b, emf=0.0) if b.name == MOTOR_BRANCH else b for b in outcome.circuit), MINUS)
    rest, still, run = (
        {name: reading_of(machine, name, solution) for name in measurements}
        for solution in (rested, held, outcome.solution)
    )
    hertz = outcome.speed * cylinders / 120.0
    return CrankWave(
        begin, begin + rng.uniform(1.5, 5.0), outcome.speed, hertz, rest, still, run,
        rises=rng.uniform(0.03, 0.08),
        sways=rng.uniform(0.05, 0.2) if hertz else 0.0, speeds_up=rng.uniform(-0.01, 0.02) if hertz else 0.0,
    )  # fmt: skip


def reading_of(machine: Machine, measurement: str, solution: Solution) -> float:
    """What one measurement of a solved circuit is, V or A, without a meter's own error."""
    if measurement == CURRENT:
        return abs(solution.currents["positive_cable"])
    return sum(solution.across(a, b) for a, b in points_of(machine, measurement))


def recording_lines(rng: random.Random, style: Style, cranks: Sequence[CrankWave],
                    measurements: Sequence[str], seconds: float, volts: float) -> Iterator[str]:  # fmt: skip
    """The lines that a recorder of this style writes in so many seconds.

    Args:
        cranks: in order of time. volts: of the machine, 12 or 24.
    """
    if style.header:
        yield _header(style, measurements)
    noise = [style.noise * (1000.0 if name == CURRENT else volts) for name in measurements]
    current, lacking = 0, 0
    for sample in range(int(seconds * style.rate)):
        time = sample / style.rate
        while current + 1 < len(cranks) and time > cranks[current].end + 1.0:
            current += 1
        lacking = max(0, lacking - 1) if lacking else rng.randrange(1, 6) * (rng.random() < style.lost)
        if lacking:
            continue
        exact = [cranks[current].value(name, time) for name in measurements]
        shown = [each + rng.gauss(0, sd) for each, sd in zip(exact, noise, strict=True)]
        cells = [f"{each:.{style.digits}f}" for each in shown]
        if rng.random() < style.zeros:
            cells = [f"{0:.{style.digits}f}"] * len(cells)
        if rng.random() < style.blank:
            cells[rng.randrange(len(cells))] = ""
        line = [_time(style, time), *(cell.replace(".", style.decimal) for cell in cells)]
        yield style.separator.join(line) + "\n"


def _header(style: Style, measurements: Sequence[str]) -> str:
    unit = {"s": " (s)", "ms": " (ms)"}.get(style.time, "")
    names = (f"{name} [{'A' if name == CURRENT else 'V'}]" for name in measurements)
    return style.separator.join(["time" + unit, *names]) + "\n"


def _time(style: Style, seconds: float) -> str:
    if style.time == "ms":
        return f"{1000 * seconds:.3f}".rstrip("0").rstrip(".").replace(".", style.decimal)
    if style.time == "s":
        return f"{seconds:.4f}".replace(".", style.decimal)
    whole = _BEGINS + seconds
    clock = f"{int(whole // 3600):02d}:{int(whole // 60 % 60):02d}:{whole % 60:09.6f}"
    return clock if style.time == "clock" else f"2031-05-04 {clock}"
