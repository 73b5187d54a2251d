"""The ripple of compressions in a cranking voltage or current, and the speed that follows from it."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, median
from typing import Final

_POINTS: Final = 600  # samples looked at; a longer stretch is averaged to this
_SHARE: Final = 0.25  # of the variance that one frequency must hold
_PERIODS: Final = 3.0  # that must lie in the stretch
_STRAY: Final = 6.0  # median deviations; a ripple's crest lies at 1.4
_FINE: Final = 4  # steps within the resolution of the stretch


@dataclass(frozen=True, slots=True)
class Ripple:
    """One frequency in a stretch: Hz and peak to peak in the unit of the values, each with its error."""

    hertz: float
    hertz_error: float
    peak_to_peak: float
    error: float


def speed_of(hertz: float, cylinders: int) -> float:
    """Engine speed in rpm of a four-stroke engine with so many compressions a second.

    Every cylinder compresses once in two turns: rpm = 120 f / cylinders. At 10 Hz a V8 turns at 150
    rpm, as an engineering magazine measured (data acquisition on a V8 at 15:1).

    >>> speed_of(10.0, 8)
    150.0
    """
    return 120.0 * hertz / cylinders


def compressions(rpm: float, cylinders: int) -> float:
    """Compressions a second, Hz; the other way round."""
    return rpm * cylinders / 120.0


def find_ripple(times: Sequence[float], values: Sequence[float], least: float, most: float,
                noise: float) -> Ripple | None:  # fmt: skip
    """The strongest frequency between `least` and `most` Hz, if it stands out.

    Args:
        times, values: samples, s and any unit. noise: standard deviation of one sample.
    """
    if len(times) < 8:
        return None
    t, x = _averaged(times, _without_strays(values), most)
    least = max(least, _PERIODS / (t[-1] - t[0]))
    whole = _strongest(t, x, least, most)
    if whole is None:
        return None
    hertz, amplitude = whole
    sure = noise * math.sqrt(3.0 / len(values))  # of an amplitude under a Hann window
    if amplitude**2 / 2 < _SHARE * _variance(x) or amplitude < 5 * sure:
        return None
    half = len(t) // 2
    parts = [_strongest(t[s], x[s], 0.7 * hertz, 1.4 * hertz) for s in (slice(half), slice(half, None))]
    drift = max((abs(part[0] - hertz) for part in parts if part), default=0.0)
    length = t[-1] - t[0]
    error = 0.1 / length + drift + 3 * sure / (amplitude * length)
    return Ripple(hertz, error, 2 * amplitude, 2 * (3 * sure + 0.25 * amplitude * drift * length))


def _without_strays(values: Sequence[float]) -> list[float]:
    """The values, with those brought near that lie farther off than any ripple (a lost sample reads 0)."""
    middle = median(values)
    most = _STRAY * median(abs(value - middle) for value in values)
    return [min(max(value, middle - most), middle + most) for value in values]


def _averaged(
    times: Sequence[float], values: Sequence[float], most: float
) -> tuple[list[float], list[float]]:
    """Fewer samples by averaging, still eight to the shortest period, and the straight line taken out."""
    length = times[-1] - times[0]
    count = max(1, min(len(times) // _POINTS, int(len(times) / (8 * most * length))))
    starts = range(0, len(times) - count + 1, count)
    t = [fmean(times[i : i + count]) for i in starts]
    x = [fmean(values[i : i + count]) for i in starts]
    return t, _level(t, x)


def _level(t: Sequence[float], x: Sequence[float]) -> list[float]:
    middle, mean = fmean(t), fmean(x)
    squares = sum((each - middle) ** 2 for each in t)
    slope = sum((a - middle) * (b - mean) for a, b in zip(t, x, strict=True)) / squares if squares else 0.0
    return [b - mean - slope * (a - middle) for a, b in zip(t, x, strict=True)]


def _strongest(
    t: Sequence[float], x: Sequence[float], least: float, most: float
) -> tuple[float, float] | None:
    """Frequency and amplitude of the highest peak inside the range; None if there is none."""
    length = t[-1] - t[0]
    if len(t) < 8 or length <= 0 or most <= least:
        return None
    window = [0.5 - 0.5 * math.cos(2 * math.pi * (each - t[0]) / length) for each in t]
    weighed = [a * b for a, b in zip(_level(t, x), window, strict=True)]
    whole = sum(window)
    step = 1 / (_FINE * length)
    grid = [least + step * i for i in range(int((most - least) / step) + 2)]
    powers = [abs(_component(t, weighed, hertz)) for hertz in grid]
    top = max(range(len(grid)), key=powers.__getitem__)
    if top in (0, len(grid) - 1):
        return None
    before, at, after = (math.log(powers[i] or 1e-300) for i in (top - 1, top, top + 1))
    bend = before - 2 * at + after
    shift = 0.5 * (before - after) / bend if bend else 0.0
    hertz = grid[top] + shift * step
    return hertz, 2 * abs(_component(t, weighed, hertz)) / whole


def _component(t: Sequence[float], x: Sequence[float], hertz: float) -> complex:
    turn = -2j * math.pi * hertz
    return sum(value * cmath.exp(turn * time) for time, value in zip(t, x, strict=True))


def _variance(x: Sequence[float]) -> float:
    return fmean(value * value for value in x)
