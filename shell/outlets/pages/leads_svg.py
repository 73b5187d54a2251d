"""The stretch of circuit that a reading is taken on, as a strip for a phone: one rail, top to bottom.

The red lead is a diamond with R, the black one a square with B; what the reading answers for
has a broad rail. Drawn one to one on a narrow screen, so its type is not made smaller.
"""

from __future__ import annotations

from typing import Final

from crankpath.shell.outlets.drawing.canvas import (
    INK,
    MARK,
    PAPER,
    QUIET,
    Canvas,
    ClosedShape,
    Label,
    Stroke,
    wrapped_label,
)
from crankpath.shell.outlets.drawing.picture import DrawnSegment, Picture, PicturePoint, Run

WIDTH: Final = 340.0
_RAIL: Final = 92.0
_LEAD: Final = 46.0
_BESIDE: Final = 18.0
_PITCH: Final = 58.0
_TOP: Final = 34.0
_ROOM: Final = WIDTH - _RAIL - _BESIDE - 8
_NAME: Final = 14.0
_SMALL: Final = 12.5


def draw_strips(picture: Picture, title: str) -> str:
    """The stretches that hold the two leads, as SVG; empty if no lead is on the circuit."""
    strips = _strips(picture)
    if not strips:
        return ""
    canvas = Canvas(title, "Points as dots, what lies between them as lines.", WIDTH, 0)
    y = _TOP
    for run in strips:
        y = _strip(canvas, run, y) + 40
    canvas.height = y - 40 + _TOP
    return canvas.svg()


def _strips(picture: Picture) -> list[Run]:
    """The fewest stretches that show both leads: the main loop, or control runs."""
    whole = Run(
        (*picture.there.stops, *picture.back.stops),
        (*picture.there.pieces, picture.load, *picture.back.pieces),
    )
    if picture.battery.marked:
        return [Run((whole.stops[0], whole.stops[-1]), (picture.battery,))]
    runs = sorted((whole, *picture.control), key=lambda run: (-len(_held(run)), len(run.stops)))
    chosen: list[Run] = []
    missing = {lead for run in runs for lead in _held(run)}
    for run in runs:
        if missing & _held(run):
            missing -= _held(run)
            chosen.append(_cut(run))
    return chosen


def _held(run: Run) -> set[str]:
    return {stop.lead for stop in run.stops if stop.lead}


def _cut(run: Run) -> Run:
    """The run from one point before the first lead to one point behind the last."""
    places = [n for n, stop in enumerate(run.stops) if stop.lead]
    first, last = max(min(places) - 1, 0), min(max(places) + 1, len(run.stops) - 1)
    return Run(run.stops[first : last + 1], run.pieces[first:last])


def _strip(canvas: Canvas, run: Run, top: float) -> float:
    for n, piece in enumerate(run.pieces):
        _piece(canvas, piece, top + n * _PITCH)
    for n, stop in enumerate(run.stops):
        _stop(canvas, stop, top + n * _PITCH)
    return top + _PITCH * (len(run.stops) - 1)


def _piece(canvas: Canvas, piece: DrawnSegment, y: float) -> None:
    middle = y + _PITCH / 2
    ends = ((_RAIL, y), (_RAIL, y + _PITCH))
    canvas.strokes.append(Stroke(ends, 8, MARK) if piece.marked else Stroke(ends, 3, INK))
    if piece.drawn == "plates":
        canvas.strokes += [Stroke(((_RAIL - 8, middle + d), (_RAIL + 8, middle + d)), 2.5) for d in (-3, 3)]
    elif piece.drawn == "gap":
        canvas.strokes.append(Stroke(((_RAIL, middle - 9), (_RAIL, middle + 9)), 9, PAPER))
        canvas.strokes.append(Stroke(((_RAIL, middle + 9), (_RAIL + 10, middle - 8)), 3))
    elif piece.drawn in ("circle", "cells", "box"):
        canvas.shapes.append(ClosedShape("circle" if piece.drawn == "circle" else "box", _RAIL, middle, 13))
        letter = "±" if piece.drawn == "cells" else piece.sign
        canvas.labels.append(Label(_RAIL, middle + 5, letter, 13, "middle", bold=True))
    lines = wrapped_label(piece.label, _ROOM, _SMALL, 2)
    for k, line in enumerate(lines):
        y = middle + 14 * (k - len(lines) / 2) + 11
        canvas.labels.append(Label(_RAIL + _BESIDE, y, line, _SMALL, fill=QUIET))


def _stop(canvas: Canvas, stop: PicturePoint, y: float) -> None:
    if stop.lead:
        red = stop.lead == "red"
        edge = MARK if red else INK
        canvas.strokes.append(Stroke(((_LEAD, y), (_RAIL, y)), 2, edge))
        sort, radius = ("diamond", 18.0) if red else ("square", 13.0)
        canvas.shapes.append(ClosedShape(sort, _LEAD, y, radius, PAPER if red else INK, edge))
        fill = MARK if red else PAPER
        canvas.labels.append(Label(_LEAD, y + 5, "R" if red else "B", 14, "middle", fill, bold=True))
    canvas.shapes.append(ClosedShape("circle", _RAIL, y, 7))
    for line in wrapped_label(stop.name, _ROOM / 1.15, _NAME, 1) if stop.name else []:
        canvas.labels.append(Label(_RAIL + _BESIDE, y + 5, line, _NAME, bold=True))
