"""Recorded cranks: every column over time, lowest to highest of each short stretch as a line of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from crankpath.shell.outlets.drawing.canvas import INK, QUIET, Canvas, Label, Stroke
from crankpath.shell.outlets.pages.sheet.data import CrankTrace, TracedColumn

WIDTH: Final = 720.0
MOST: Final = 4
"""The last cranks that are drawn; more would push the rest of the sheet off its page."""

_LEFT: Final = 12.0
_FROM: Final = 96.0  # of the drawing itself, beside its scale
_ROW: Final = 74.0
_HEIGHT: Final = 44.0
_SMALL: Final = 10.0


def draw_cranks(traces: Sequence[CrankTrace], title: str) -> str:
    """The cranks as SVG, self-contained."""
    return lay_out_cranks(traces, title).svg()


def lay_out_cranks(traces: Sequence[CrankTrace], title: str) -> Canvas:
    """The same as a `Canvas`, with the box of everything on it."""
    drawn = traces[-MOST:]
    about = "; ".join(f"crank {t.number}: {', '.join(c.label for c in t.columns)}" for t in drawn)
    canvas = Canvas(title, about, WIDTH, 0)
    y = 4.0
    for trace in drawn:
        for column in trace.columns:
            name = f"Crank {trace.number}, {column.label}"
            canvas.labels.append(Label(_LEFT, y + 12, name, 11.5, bold=True))
            _curve(canvas, column, y + 20)
            y += _ROW
        _seconds(canvas, trace, y - _ROW + 20 + _HEIGHT)
        y += 18
    canvas.height = y
    return canvas


def _curve(canvas: Canvas, column: TracedColumn, top: float) -> None:
    low, high = min(a for a, _ in column.pairs), max(b for _, b in column.pairs)
    scale = _HEIGHT / (high - low or 1.0)
    step = (WIDTH - _LEFT - _FROM) / max(1, len(column.pairs))
    points: list[tuple[float, float]] = []
    for n, (a, b) in enumerate(column.pairs):
        x = _FROM + step * (n + 0.5)
        ends = (top + (high - b) * scale, top + (high - a) * scale)
        points += [(x, end) for end in (ends if n % 2 else ends[::-1])]
    canvas.strokes.append(Stroke(tuple(points), 1, INK))
    for value, y in ((high, top + 7), (low, top + _HEIGHT)):
        canvas.labels.append(Label(_FROM - 8, y, f"{value:.4g} {column.unit}", _SMALL, "end", QUIET))


def _seconds(canvas: Canvas, trace: CrankTrace, y: float) -> None:
    scale = (WIDTH - _LEFT - _FROM) / (trace.ends - trace.begins or 1.0)
    every = max(1, round((trace.ends - trace.begins) / 12))
    for second in range(0, int(trace.ends) + 1, every):
        x = _FROM + (second - trace.begins) * scale
        canvas.strokes.append(Stroke(((x, y + 2), (x, y + 6)), 1, QUIET))
        canvas.labels.append(Label(x, y + 17, f"{second} s", _SMALL, "middle", QUIET))
