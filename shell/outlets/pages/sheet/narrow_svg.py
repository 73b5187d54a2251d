"""The circuit of a sheet for a narrow screen, and one run of the control side: one rail, top to bottom."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from crankpath.shell.outlets.drawing.canvas import Canvas, ClosedShape, Label, Stroke, wrapped_label
from crankpath.shell.outlets.pages.sheet.data import CircuitFigures, CircuitReading, Rail
from crankpath.shell.outlets.pages.sheet.drops_svg import (
    LANE,
    LINE,
    NAME,
    PITCH,
    TEXT,
    bracket,
    figure_words,
    lanes,
    part_lines,
    rail_on,
)

WIDTH: Final = 360.0
_EDGE: Final = 16.0


def draw_narrow(circuit: CircuitFigures, title: str) -> str:
    """The whole main circuit as SVG, self-contained: battery, rail, load, rail."""
    return lay_out_narrow(circuit, title).svg()


def lay_out_narrow(circuit: CircuitFigures, title: str) -> Canvas:
    """The same as a `Canvas`, with the box of everything on it."""
    canvas = Canvas(title, "Points as dots; voltages stand beside what they were read across.", WIDTH, 0)
    x = _rail_at(circuit.there, circuit.back)
    y = _listed(canvas, circuit.battery, circuit.battery_figures, _EDGE, 18) + 22
    y = _run(canvas, circuit.there, x, y)
    below = max(_listed(canvas, circuit.load, circuit.load_figures, x + 24, y + 26), y + 44)
    canvas.strokes.append(Stroke(((x, y), (x, below + 22)), 2.5))
    canvas.shapes.append(ClosedShape("circle", x, y + 28, 15))
    canvas.labels.append(Label(x, y + 33, "M", 13, "middle", bold=True))
    canvas.height = _run(canvas, circuit.back, x, below + 22) + 20
    return canvas


def draw_rail(rail: Rail, title: str) -> str:
    """One run with its readings as SVG, self-contained."""
    canvas = Canvas(title, "Points as dots; voltages stand beside what they were read across.", WIDTH, 0)
    canvas.height = _run(canvas, rail, _rail_at(rail), 16) + 20
    return canvas.svg()


def _rail_at(*rails: Rail) -> float:
    """Where the rail stands so that every bracket has its room."""
    return 16 + LANE * (1 + max((lane for rail in rails for _, lane in lanes(rail.spans)), default=0))


def _run(canvas: Canvas, rail: Rail, x: float, top: float) -> float:
    """The rail with its brackets; where it ends."""
    room = WIDTH - x - 22
    most = max((len(part_lines(part, room)) for part in rail.parts), default=0)
    pitch = PITCH + LINE * max(most - 2, 0)
    rail_on(canvas, rail, (x, top), pitch, room, False)
    for span, lane in lanes(rail.spans):
        bracket(canvas, span, (x, top), pitch, lane, False)
    return top + pitch * len(rail.parts)


def _listed(canvas: Canvas, name: str, figures: Sequence[CircuitReading], left: float, top: float) -> float:
    """A name and the readings across it, one below another; where they end."""
    texts = [name, *(f"{figure.label} {figure_words(figure)}" for figure in figures)]
    room = WIDTH - left - _EDGE
    lines = [(line, n == 0) for n, text in enumerate(texts) for line in wrapped_label(text, room, NAME, 3)]
    for n, (line, bold) in enumerate(lines):
        canvas.labels.append(Label(left, top + TEXT * n, line, NAME, bold=bold))
    return top + TEXT * (len(lines) - 1)
