"""What a fault does to the readings, as one SVG document.

The fault stands on the left; a line goes to each measurement it bears on. Of an observation a
bar of full width is one: its parts are the values as the rules expect them with the fault, and the
narrow bar under it the same values on a sound circuit. Of a meter reading the line is what the meter
can show, from nothing to the most: the bar is where nine readings in ten lie with the fault, the narrow
bar where they lie on a sound circuit; nothing and the whole supply are ticks. What it comes to is
written out below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Final

from crankpath.shell.outlets.drawing.canvas import (
    BOLD,
    INK,
    MARK,
    PAPER,
    QUIET,
    TINTS,
    Canvas,
    ClosedShape,
    Label,
    Stroke,
    text_width,
    wrapped_label,
)

WIDTH: Final = 900.0
_TOP: Final = 84.0
_ROW: Final = 112.0
_FAULT_X: Final = 24.0
_FAULT_WIDTH: Final = 210.0
_BAR_X: Final = 318.0
_BAR_WIDTH: Final = 558.0
_BAR_HIGH: Final = 22.0
_SOUND_HIGH: Final = 8.0
_LEAST_WIDE: Final = 3.0
_TICK_WIDE: Final = 2.0


@dataclass(frozen=True, slots=True)
class PlottedRange:
    """A range of a meter, in parts of the line from 0 to 1.

    ends: nine readings in ten lie between; None where none do. ticks: (place, share) of nothing and of
    the whole supply.
    """

    ends: tuple[float, float] | None
    ticks: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Expectation:
    """What one measurement reads with a fault there, and without any.

    bands: of an observation, ordered (value, chance with the fault, chance on a sound circuit). spans: of
    a meter reading, with the fault and on a sound circuit; words: the same in the unit.
    """

    measurement: str  # label, as it is to be shown
    bands: tuple[tuple[str, float, float], ...]
    why: str = ""  # id of the rule, or a few words
    spans: tuple[PlottedRange, PlottedRange] | None = None
    words: str = ""


def draw_inference(fault: str, expected: Sequence[Expectation]) -> str:
    """The fault's evidence as self-contained SVG; `fault` is its label, with the degree."""
    return lay_out_inference(fault, expected).svg()


def lay_out_inference(fault: str, expected: Sequence[Expectation]) -> Canvas:
    """The same as a `Canvas`, with the box of everything on it."""
    title = f"What {fault} does to the readings"
    about = "A bar for each measurement: what it reads with the fault, below it without."
    canvas = Canvas(title, about, WIDTH, 0)
    canvas.labels.append(Label(24, 40, wrapped_label(title, (WIDTH - 48) / BOLD, 18, 1)[0], 18, bold=True))
    rows = max(len(expected), 1)
    middle = _TOP + rows * _ROW / 2
    for n, one in enumerate(expected):
        _link(canvas, middle, _TOP + n * _ROW + 34)
        _expectation(canvas, one, _TOP + n * _ROW)
    if not expected:
        canvas.labels.append(Label(_BAR_X, middle + 5, "No rule speaks of it on this machine.", 14))
    _fault(canvas, fault, middle)
    bottom = _TOP + rows * _ROW
    said = "Upper bar: with the fault. Narrow bar: sound circuit. Tick: nothing, or the whole supply."
    canvas.labels.append(Label(24, bottom + 16, said, 12, fill=QUIET))
    canvas.height = bottom + 36
    return canvas


def _fault(canvas: Canvas, fault: str, middle: float) -> None:
    lines = wrapped_label(fault, (_FAULT_WIDTH - 24) / BOLD, 14, 3)
    x = _FAULT_X + _FAULT_WIDTH / 2
    canvas.shapes.append(ClosedShape("box", x, middle, 14 + 10 * len(lines), PAPER, MARK, _FAULT_WIDTH))
    for n, line in enumerate(lines):
        y = middle + 18 * (n - len(lines) / 2) + 14
        canvas.labels.append(Label(x, y, line, 14, "middle", bold=True))


def _link(canvas: Canvas, middle: float, y: float) -> None:
    start, bend = _FAULT_X + _FAULT_WIDTH, _BAR_X - 42
    canvas.strokes.append(Stroke(((start, middle), (bend, middle), (bend, y), (_BAR_X - 8, y)), 2, QUIET))
    canvas.strokes.append(Stroke(((_BAR_X - 16, y - 5), (_BAR_X - 8, y), (_BAR_X - 16, y + 5)), 2, QUIET))


def _expectation(canvas: Canvas, one: Expectation, top: float) -> None:
    why_room = _BAR_WIDTH * 0.4
    name = wrapped_label(one.measurement, (_BAR_WIDTH - why_room - 12) / BOLD, 14, 1)
    canvas.labels += [Label(_BAR_X, top + 14, line, 14, bold=True) for line in name]
    for line in wrapped_label(one.why, why_room, 11, 1):
        canvas.labels.append(Label(_BAR_X + _BAR_WIDTH, top + 14, line, 11, "end", QUIET))
    if one.spans is None:
        _bars(canvas, one, top)
        words = ", ".join(f"{band} {_percent(a)} (sound {_percent(b)})" for band, a, b in one.bands)
    else:
        _span(canvas, one.spans[0], top + 23, _BAR_HIGH, MARK)
        _span(canvas, one.spans[1], top + 48, _SOUND_HIGH, QUIET)
        words = one.words
    for n, line in enumerate(wrapped_label(words, _BAR_WIDTH, 12, 2)):
        canvas.labels.append(Label(_BAR_X, top + 72 + 16 * n, line, 12, fill=QUIET))


def _span(canvas: Canvas, span: PlottedRange, top: float, high: float, outline: str) -> None:
    """The line of a meter with its range and ticks."""
    middle = top + high / 2
    canvas.strokes.append(Stroke(((_BAR_X, middle), (_BAR_X + _BAR_WIDTH, middle)), 1, QUIET))
    if span.ends is not None:
        low, full = (_BAR_X + _BAR_WIDTH * min(max(end, 0.0), 1.0) for end in span.ends)
        width = max(full - low, _LEAST_WIDE)
        bar = ClosedShape("square", low + width / 2, middle, high / 2, TINTS[1], outline, width)
        canvas.shapes.append(bar)
    for place, share in span.ticks:
        half = high / 2 * (0.4 + 0.6 * min(max(share, 0.0), 1.0))
        x = _BAR_X + _BAR_WIDTH * min(max(place, 0.0), 1.0)
        canvas.shapes.append(ClosedShape("square", x, middle, half, outline, outline, _TICK_WIDE))


def _bars(canvas: Canvas, one: Expectation, top: float) -> None:
    chances = [with_fault for _, with_fault, _ in one.bands]
    likeliest = max(range(len(chances)), key=chances.__getitem__, default=-1)
    _bar(canvas, [(b, c) for b, c, _ in one.bands], top + 23, _BAR_HIGH, likeliest, named=True)
    _bar(canvas, [(b, c) for b, _, c in one.bands], top + 48, _SOUND_HIGH, -1, named=False)


def _bar(
    canvas: Canvas, parts: Sequence[tuple[str, float]], top: float, high: float, likeliest: int, *,
    named: bool,
) -> None:  # fmt: skip
    whole = sum(chance for _, chance in parts) or 1.0
    widths = [chance / whole * _BAR_WIDTH for _, chance in parts]
    outlined: list[ClosedShape] = []
    for n, (right, width) in enumerate(zip(accumulate(widths), widths, strict=True)):
        middle = (_BAR_X + right - width / 2, top + high / 2)
        best = n == likeliest
        shape = ClosedShape("square", *middle, high / 2, TINTS[n % 2], MARK if best else QUIET, width)
        (outlined if best else canvas.shapes).append(shape)
        if named and text_width(parts[n][0], 12) + 10 <= width:
            canvas.labels.append(Label(middle[0], middle[1] + 4, parts[n][0], 12, "middle", INK))
    canvas.shapes += outlined  # last, so that no neighbour covers its outline


def _percent(chance: float) -> str:
    """Whole percent; what would round to none or all says so."""
    if 0 < chance < 0.01:
        return "<1 %"
    if 0.99 < chance < 1:
        return ">99 %"
    return f"{chance:.0%}".replace("%", " %")
