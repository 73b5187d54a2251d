"""What one crank reads: lowest, settled, first peak and ripple of every column, each with its error."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, median, stdev

from crankpath.engine.recordings.cranks import RawCrank, Trigger, robust_deviation
from crankpath.engine.recordings.figures import CrankFigures
from crankpath.engine.recordings.ripple import Ripple, compressions, find_ripple, speed_of

_BATCHES = 8
_SEEN = 2.5  # samples to the shortest ripple from which on it is seen, not mistaken for a slower one
_LEAST_SETTLED = 0.3  # s
_COVERAGE = 3.0  # standard errors
_BEFORE = 0.4  # s before a crank that tell the level before it
_EDGE = 0.003  # s to which the beginning of a crank is known


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its error: in all but a few of a thousand recordings the true one lies within it."""

    value: float
    error: float


@dataclass(frozen=True, slots=True)
class ColumnValues:
    """One column in one crank, in its unit; None where the recording cannot tell.

    before: level just before. first_peak: farthest from it, at the very start. lowest, highest: from
    the first peak until just before the end. settled: mean once the first dip is over. ripple: peak
    to peak of the compressions.
    """

    before: Measured | None
    lowest: Measured | None
    highest: Measured | None
    settled: Measured | None
    first_peak: Measured | None
    ripple: Measured | None

    def named(self, name: str) -> Measured | None:
        """The value of that name."""
        found: Measured | None = getattr(self, name)
        return found


@dataclass(frozen=True, slots=True)
class CrankValues:
    """One crank.

    begin: s in the time of the recording. seconds: how long. turned: compressions were seen; False:
    there were none; None: the recording cannot tell. compressions: a second. speed: rpm.
    """

    begin: float
    seconds: float
    columns: tuple[ColumnValues, ...]
    turned: bool | None
    compressions: Measured | None
    speed: Measured | None
    cut: bool = False
    remarks: tuple[str, ...] = ()


def crank_values(
    raw: RawCrank, triggers: Sequence[Trigger], figures: CrankFigures, cylinders: int | None
) -> CrankValues:
    """What a crank reads.

    Args:
        raw: its samples. triggers: the columns in which compressions are looked for. figures: what
            a crank is. cylinders: of the engine, four-stroke; None: unknown, no speed.
    """
    at = _Windows(raw, figures)
    remarks = list(at.remarks())
    few, many = (cylinders, cylinders) if cylinders else (3, 12)
    range_hz = compressions(figures.slowest, few), compressions(figures.fastest, many)
    seen = at.step * range_hz[1] * _SEEN <= 1
    if not seen:
        remarks.append(
            f"{1 / at.step:.0f} samples a second are too few for the ripple of compressions; "
            f"{math.ceil(range_hz[1] * _SEEN)} would do."
        )
    found = [_ripple(at, t, range_hz) for t in triggers] if seen and at.settled_seconds > 0 else []
    # a hum or a rattle of the recorder is no compression, however clear it is
    paired = zip(found, triggers, strict=False)
    large = [r for r, t in paired if r and r.peak_to_peak >= _least(at, t, figures)]
    best = max(large, key=lambda r: r.peak_to_peak / r.error, default=None)
    seen_none = seen and not any(found)
    columns = tuple(_column(at, i, figures, best, seen) for i in range(len(raw.columns)))
    speed = None
    if best and cylinders:
        speed = Measured(speed_of(best.hertz, cylinders), speed_of(best.hertz_error, cylinders))
    return CrankValues(
        raw.begin, raw.end - raw.begin, columns, _turned(at, triggers, figures, best, seen_none, range_hz[0]),
        Measured(best.hertz, best.hertz_error) if best else None, speed, raw.cut, tuple(remarks),
    )  # fmt: skip


class _Windows:
    """The stretches of a crank that its values come from."""

    def __init__(self, raw: RawCrank, figures: CrankFigures) -> None:
        self.raw, times = raw, raw.times
        inside = slice(bisect_left(times, raw.begin), bisect_right(times, raw.end))
        self.inside = inside
        self.before = slice(bisect_left(times, raw.begin - _BEFORE), max(0, inside.start - 2))
        self.first = slice(inside.start, bisect_right(times, raw.begin + figures.first_peak_within))
        start, end = raw.begin + figures.settles_after, raw.end - figures.ends_before
        first = bisect_left(times, start)
        self.settled = slice(first, max(first, bisect_right(times, end)))
        stretch = times[self.settled]
        self.settled_seconds = stretch[-1] - stretch[0] if len(stretch) > 2 else 0.0
        if self.settled_seconds < _LEAST_SETTLED:
            self.settled_seconds, self.settled = 0.0, slice(0, 0)
        steps = [b - a for a, b in pairwise(times[inside])]
        self.step = sorted(steps)[len(steps) // 2] if steps else math.inf
        self.step = max(self.step, (times[-1] - times[0]) / max(1, len(times) - 1) / 2, 1e-9)
        self._gap_first = _largest(times[max(0, inside.start - 1) : self.first.stop])
        self.gap = _largest(times[inside])
        self.peak_seen = self._gap_first <= 1.05 * figures.first_peak_sampling
        self._figures = figures

    def remarks(self) -> Iterator[str]:
        """What the samples cannot tell, and why."""
        if not self.settled_seconds:
            yield "Too short, or too few samples, for a settled value."
        if not self.peak_seen:
            yield (
                f"No first peak, lowest and highest: samples {1000 * self._gap_first:.3g} ms apart "
                f"at its start can miss them; {1000 * self._figures.first_peak_sampling:.3g} ms would do."
            )
        if self.raw.cut:
            yield "The recording begins or breaks off within this crank."


def _column(at: _Windows, index: int, figures: CrankFigures, best: Ripple | None, seen: bool) -> ColumnValues:
    values = at.raw.columns[index]
    noise = _noise(values, at)
    before = values[at.before]
    rest = None
    if before:
        rest = Measured(fmean(before), _COVERAGE * noise / math.sqrt(len(before)) + noise / 10)
    settled = _settled(at, index, noise, rest, figures, seen)
    lowest = highest = peak = None
    if at.peak_seen:
        level = rest.value if rest else values[at.inside][0]
        top = max(range(at.first.start, at.first.stop), key=lambda i: abs(values[i] - level))
        sign = 1 if values[top] > level else -1
        edge = math.ceil(_EDGE / at.step)
        peak = _extreme(values, at.first, noise, sign, edge if top == at.first.stop - 1 else 0)
        after = slice(top, max(top + 1, at.settled.stop))
        lowest, highest = (_extreme(values, after, noise, side, edge) for side in (-1, 1))
    return ColumnValues(rest, lowest, highest, settled, peak, _peak_to_peak(at, index, noise, best))


def _settled(at: _Windows, index: int, noise: float, rest: Measured | None, figures: CrankFigures,
             seen: bool) -> Measured | None:  # fmt: skip
    if not at.settled_seconds:
        return None
    values = at.raw.columns[index][at.settled]
    value, count = fmean(values), len(values)
    batches = [values[i * count // _BATCHES : (i + 1) * count // _BATCHES] for i in range(_BATCHES)]
    means = [fmean(batch) for batch in batches if batch]
    error = _COVERAGE * stdev(means) / math.sqrt(len(means)) if len(means) > 1 else max(values) - min(values)
    error += 2 * noise / math.sqrt(count)
    digit = _digit(at.raw.columns[index])
    error += digit / 2 if noise < digit / 2 else 0.0  # no noise spreads the values over the digits
    error += (max(values) - min(values)) * _EDGE / at.settled_seconds  # where its ends are
    if not seen and rest:  # ripple sampled in step with itself can shift the mean by half its height
        error += figures.ripple_most * abs(value - rest.value) / 2
    gaps = sum(b - a - 2 * at.step for a, b in pairwise(at.raw.times[at.settled]) if b - a > 2 * at.step)
    error += (max(values) - min(values)) * gaps / at.settled_seconds / 2
    return Measured(value, error)


def _extreme(values: Sequence[float], where: slice, noise: float, sign: int, edge: int = 0) -> Measured:
    """The highest (sign 1) or lowest value of a stretch.

    The largest of n noisy samples lies above the true largest, by about the square root of 2 ln n
    standard deviations where all are alike, and below it by what passes between two samples.
    """
    part = [sign * value for value in values[where]]
    top = max(range(len(part)), key=part.__getitem__)
    sides = [i for i in (top - 1, top + 1) if 0 <= i < len(part)]
    between = 0.0
    if sides:  # a peak may rise faster than it falls, and stand between two samples
        side = max(sides, key=part.__getitem__)
        after = min(max(2 * side - top, 0), len(part) - 1)
        between = max(2 * (part[top] - part[side]), (part[top] - part[after]) / 2)
    if len(sides) == 1:  # at the edge of the stretch, whose own place is known to a few milliseconds
        near = part[max(0, top - edge) : top + edge + 1]
        between = max(between, part[top] - min(near))
    stray = noise * (1 + math.sqrt(2 * math.log(max(2, len(part)))))
    return Measured(sign * part[top], stray + between)


def _peak_to_peak(at: _Windows, index: int, noise: float, best: Ripple | None) -> Measured | None:
    if best is None:
        return None
    times, values = at.raw.times[at.settled], at.raw.columns[index][at.settled]
    own = find_ripple(times, values, 0.8 * best.hertz, 1.25 * best.hertz, noise)
    return Measured(own.peak_to_peak, own.error) if own else None


def _ripple(at: _Windows, trigger: Trigger, range_hz: tuple[float, float]) -> Ripple | None:
    values = at.raw.columns[trigger.column]
    return find_ripple(at.raw.times[at.settled], values[at.settled], *range_hz, _noise(values, at))


def _least(at: _Windows, trigger: Trigger, figures: CrankFigures) -> float:
    """The smallest ripple that compressions make, peak to peak."""
    values = at.raw.columns[trigger.column]
    before = values[at.before] or values[at.inside]
    return figures.ripple_least * abs(fmean(values[at.settled]) - fmean(before))


def _turned(at: _Windows, triggers: Sequence[Trigger], figures: CrankFigures, best: Ripple | None,
            seen_none: bool, slowest: float) -> bool | None:  # fmt: skip
    """Whether the engine turned: None where a ripple as small as it can be would not have been seen."""
    if best:
        return True
    if not seen_none or at.settled_seconds * slowest < 3:
        return None
    for trigger in triggers:
        values = at.raw.columns[trigger.column]
        noise = _noise(values, at) * math.sqrt(3.0 / max(1, len(values[at.settled])))
        if _least(at, trigger, figures) / 2 > 10 * noise:
            return False
    return None


def _noise(values: Sequence[float], at: _Windows) -> float:
    """Standard deviation of one sample: at rest or, if more, in the crank; and what its last digit hides."""
    digit = _digit(values)
    still = _scatter(values[at.before], digit)
    part = values[at.settled]
    bends = [a - 2 * b + c for a, b, c in zip(part, part[1:], part[2:], strict=False)]
    return max(still, _scatter(bends, digit) / math.sqrt(6), digit / math.sqrt(12))


def _scatter(values: Sequence[float], digit: float) -> float:
    """Standard deviation without strays; the median of deviations alone is 0 where most read alike."""
    if len(values) < 5:
        return 0.0
    middle, robust = median(values), robust_deviation(values)
    near = [value for value in values if abs(value - middle) <= 6 * (robust + digit)]
    return max(robust, stdev(near)) if len(near) > 1 else robust


def _digit(values: Sequence[float]) -> float:
    """The smallest step between two readings: the last digit that the recorder shows."""
    return min((b - a for a, b in pairwise(sorted(set(values))) if b - a > 1e-9 * abs(b)), default=0.0)


def _largest(times: Sequence[float]) -> float:
    return max((b - a for a, b in pairwise(times)), default=math.inf)
