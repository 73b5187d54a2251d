"""The circuit as one SVG document: the battery on top, the starter motor at the bottom.

The current goes down the left rail and up the right one; control runs stand below, a column
each. The red lead is a diamond with R, the black one a square with B; what the reading
answers for has a broad rail. So the sheet can be read in black and white.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from crankpath.shell.outlets.drawing.canvas import (
    BOLD,
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

WIDTH: Final = 760.0
_LEFT: Final = 96.0
_RIGHT: Final = 664.0
_COLUMN: Final = 456.0  # of the second control run
_BESIDE: Final = 22.0  # from a rail to its text
_LEAD: Final = 50.0  # from a rail to a lead
_PITCH: Final = 74.0  # from one test point to the next
_ROOM: Final = 236.0  # for text beside a rail
_TOP: Final = 104.0
_NAME: Final = 14.0  # sizes of type
_SMALL: Final = 12.0
_LINE: Final = 15.0


def draw_circuit(picture: Picture, *, title: str, main: bool = True, control: bool = True) -> str:
    """The picture as SVG, self-contained.

    Args:
        picture: what to draw.
        title: said on top of the sheet and to a screen reader.
        main: draw the main circuit.
        control: draw the control runs below it.
    """
    return lay_out_circuit(picture, title=title, main=main, control=control).svg()


def lay_out_circuit(picture: Picture, *, title: str, main: bool = True, control: bool = True) -> Canvas:
    """The same as a `Canvas`, with the box of everything on it."""
    canvas = Canvas(title, "Test points as dots, what lies between them as lines.", WIDTH, _TOP)
    canvas.labels += [
        Label(24, 34 + 22 * n, line, 18, bold=True)
        for n, line in enumerate(wrapped_label(title, (WIDTH - 48) / BOLD, 18, 2))
    ]
    y = _TOP
    if main:
        y = _main(canvas, picture, y + 24) + 106
    if control:
        for n in range(0, len(picture.control), 2):
            y = _control(canvas, picture.control[n : n + 2], y) + 50
    _key(canvas, picture, y, control=control)
    canvas.height = y + 40
    return canvas


def _main(canvas: Canvas, picture: Picture, top: float) -> float:
    """Draw the loop with its upper edge at `top`; the y of its lower edge comes out."""
    back = Run(picture.back.stops[::-1], picture.back.pieces[::-1])
    first = top + 40
    last = first + _PITCH * (max(len(picture.there.stops), len(back.stops)) - 1)
    bottom = last + 46
    _crossing(canvas, picture.battery, top, first)
    _rail(canvas, picture.there, _LEFT, first, (last - first) / max(len(picture.there.pieces), 1))
    _rail(canvas, back, _RIGHT, first, (last - first) / max(len(back.pieces), 1), turned=True)
    _crossing(canvas, picture.load, bottom, last)
    return bottom


def _crossing(canvas: Canvas, piece: DrawnSegment, y: float, rail_end: float) -> None:
    middle = (_LEFT + _RIGHT) / 2
    corners = ((_LEFT, rail_end), (_LEFT, y), (_RIGHT, y), (_RIGHT, rail_end))
    canvas.strokes.append(_wire(corners, piece.marked))
    edge = MARK if piece.marked else INK
    if piece.drawn == "cells":
        canvas.shapes.append(ClosedShape("box", middle, y, 18, stroke=edge, width=132))
        canvas.labels += [Label(middle + x, y + 7, sign, 20, "middle") for x, sign in ((-44, "+"), (44, "−"))]
    else:
        canvas.shapes.append(ClosedShape("circle", middle, y, 24, stroke=edge))
        canvas.labels.append(Label(middle, y + 7, piece.sign, 20, "middle", bold=True))
    lines = [(line, _NAME, INK, False) for line in wrapped_label(piece.label, _ROOM, _NAME, 1)]
    if piece.value:
        lines.append((_short(piece.value), _NAME, MARK, True))
    # Outside the loop, where no text of a rail can come.
    line = y - 8 - 18 * len(lines) if rail_end > y else y + 44
    for n, (text, size, fill, bold) in enumerate(lines):
        canvas.labels.append(Label(middle, line + 18 * n, text, size, "middle", fill, bold))


def _control(canvas: Canvas, runs: Sequence[Run], top: float) -> float:
    """Draw up to two runs beside each other; the y of the lower end of the longer comes out."""
    for run, x in zip(runs, (_LEFT, _COLUMN), strict=False):
        _rail(canvas, run, x, top, _PITCH)
    return top + _PITCH * max(len(run.pieces) for run in runs)


def _rail(canvas: Canvas, run: Run, x: float, top: float, pitch: float, *, turned: bool = False) -> None:
    control = any(not stop.on_main for stop in run.stops)
    for n, piece in enumerate(run.pieces):
        _piece(canvas, piece, x, top + n * pitch, pitch, turned)
    for n, stop in enumerate(run.stops):
        _stop(canvas, stop, x, top + n * pitch, turned, filled=control and stop.on_main)


def _piece(canvas: Canvas, piece: DrawnSegment, x: float, y: float, pitch: float, turned: bool) -> None:
    middle = y + pitch / 2
    dashes = "7 4" if piece.drawn == "dashes" else ""
    canvas.strokes.append(_wire(((x, y), (x, y + pitch)), piece.marked, dashes))
    match piece.drawn:
        case "plates":
            canvas.strokes += [Stroke(((x - 8, middle + d), (x + 8, middle + d)), 2.5) for d in (-3, 3)]
        case "gap":
            canvas.strokes.append(Stroke(((x, middle - 9), (x, middle + 9)), 9, PAPER))
            canvas.strokes.append(Stroke(((x, middle + 9), (x + 10, middle - 8)), 3))
        case "box" | "circle":
            canvas.shapes.append(ClosedShape(piece.drawn, x, middle, 13, width=16))
            canvas.labels.append(Label(x, middle + 5, piece.sign, 13, "middle", bold=True))
        case _:
            pass
    lines = [(line, _SMALL, QUIET, False) for line in wrapped_label(piece.label, _ROOM, _SMALL, 2)]
    if piece.value:
        lines.insert(0, (_short(piece.value), _NAME, MARK, True))
    side, anchor = (-_BESIDE, "end") if turned else (_BESIDE, "start")
    for n, (text, size, fill, bold) in enumerate(lines):
        line = middle + _LINE * (n - len(lines) / 2) + 11
        canvas.labels.append(Label(x + side, line, text, size, anchor, fill, bold))


def _stop(canvas: Canvas, stop: PicturePoint, x: float, y: float, turned: bool, *, filled: bool) -> None:
    side, anchor = (-_BESIDE, "end") if turned else (_BESIDE, "start")
    if stop.lead:
        out = x + (_LEAD if turned else -_LEAD)
        sort, letter = ("diamond", "R") if stop.lead == "red" else ("square", "B")
        canvas.strokes.append(Stroke(((out, y), (x, y)), 2, MARK if letter == "R" else INK))
        fill, text = (PAPER, MARK) if letter == "R" else (INK, PAPER)
        edge = MARK if letter == "R" else INK
        canvas.shapes.append(ClosedShape(sort, out, y, 17 if letter == "R" else 12, fill, edge))
        canvas.labels.append(Label(out, y + 5, letter, 13, "middle", text, bold=True))
    canvas.shapes.append(ClosedShape("circle", x, y, 7, INK if filled else PAPER))
    name = wrapped_label(stop.name, _ROOM / BOLD, _NAME, 1)[0] if stop.name else ""
    canvas.labels.append(Label(x + side, y + 5, name, _NAME, anchor, bold=True))


def _wire(points: tuple[tuple[float, float], ...], marked: bool, dashes: str = "") -> Stroke:
    return Stroke(points, 9, MARK, dashes) if marked else Stroke(points, 3, INK, dashes)


def _key(canvas: Canvas, picture: Picture, y: float, *, control: bool) -> None:
    said = []
    runs = (picture.there, picture.back, *picture.control)
    if any(stop.lead for run in runs for stop in run.stops):
        said.append("R red lead, B black lead; the broad line is what the reading answers for.")
    if control and picture.control:
        said.append("Filled dot: a point of the main circuit.")
    for n, line in enumerate(said):
        canvas.labels.append(Label(24, y + 18 * n, line, _SMALL, fill=QUIET))


def _short(value: str) -> str:
    return "".join(wrapped_label(value, _ROOM / BOLD, _NAME, 1))
