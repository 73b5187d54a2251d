"""The circuit of a sheet: two rails, names inside, every voltage beside what it was read across.

The current goes down the left rail and up the right one. A reading has a bracket on the outer
side of its rail; the wider its reach, the further out it stands. Its mark is a letter in a
shape of its own, so the sheet can be read in black and white.
"""

from __future__ import annotations

from collections.abc import Sequence
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
from crankpath.shell.outlets.pages.sheet.data import CircuitFigures, CircuitReading, Rail, Span, VoltagePart

WIDTH: Final = 720.0
LANE: Final = 74.0  # room of one bracket with its text
_MOST_LANES: Final = 3
_TOP: Final = 86.0  # of the rails, with one line of readings above the battery
TEXT: Final = 14.0
PITCH: Final = 42.0
NAME: Final = 11.5
SMALL: Final = 10.0
LINE: Final = 11.5


def draw_drops(circuit: CircuitFigures, title: str) -> str:
    """The circuit with its readings as SVG, self-contained; `title` is for a screen reader."""
    return lay_out_drops(circuit, title).svg()


def lay_out_drops(circuit: CircuitFigures, title: str) -> Canvas:
    """The same as a `Canvas`, with the box of everything on it."""
    canvas = Canvas(title, "Points as dots; voltages stand beside what they were read across.", WIDTH, 0)
    top = _TOP + TEXT * max(len(circuit.battery_figures) - 1, 0)
    rails = circuit.there, _upwards(circuit.back)
    placed = [lanes(rail.spans) for rail in rails]
    wide = [LANE * (1 + max((lane for _, lane in spans), default=0)) for spans in placed]
    left, right = 16 + wide[0], WIDTH - 16 - wide[1]
    room = (right - left) / 2 - 22
    most = max((len(part_lines(part, room)) for rail in rails for part in rail.parts), default=0)
    pitch = PITCH + LINE * max(most - 2, 0)
    bottom = top + pitch * max(*(len(rail.parts) for rail in rails), 1)
    for x, rail, spans, turned in zip((left, right), rails, placed, (False, True), strict=True):
        pitch = (bottom - top) / max(len(rail.parts), 1)
        rail_on(canvas, rail, (x, top), pitch, room, turned)
        for span, lane in spans:
            bracket(canvas, span, (x, top), pitch, lane, turned)
    _crossing(canvas, left, right, top, -34, circuit.battery, circuit.battery_figures)
    _crossing(canvas, left, right, bottom, 40, circuit.load, circuit.load_figures, circuit.sign)
    canvas.height = bottom + 80 + TEXT * len(circuit.load_figures)
    return canvas


def _upwards(rail: Rail) -> Rail:
    """The rail in the order it is drawn from the top: against the current."""
    last = len(rail.points) - 1
    spans = tuple(Span(last - s.last, last - s.first, s.figure) for s in rail.spans)
    return Rail(rail.points[::-1], rail.parts[::-1], spans)


def lanes(spans: Sequence[Span]) -> list[tuple[Span, int]]:
    """Each span with the innermost lane where it touches no other; the shortest spans first.

    What finds no lane within the sheet's width is not drawn here; it stands in the table.
    """
    taken: list[tuple[Span, int]] = []
    for span in sorted(spans, key=lambda s: (s.last - s.first, s.first)):
        for lane in range(_MOST_LANES):
            clear = all(o.last <= span.first or span.last <= o.first for o, n in taken if n == lane)
            inside = all(o.last - o.first <= span.last - span.first for o, n in taken if n < lane)
            if clear and inside:
                taken.append((span, lane))
                break
    return taken


def rail_on(
    canvas: Canvas, rail: Rail, start: tuple[float, float], pitch: float, room: float, turned: bool
) -> None:
    """One rail downwards from `start`, its names on the right, or on the left where it is `turned`."""
    x, top = start
    side, anchor = (-14.0, "end") if turned else (14.0, "start")
    for n, part in enumerate(rail.parts):
        y = top + n * pitch
        middle = y + pitch / 2
        canvas.strokes.append(Stroke(((x, y), (x, y + pitch)), 7 if part.failing else 2.5, INK))
        if part.drawn == "plates":
            canvas.strokes += [Stroke(((x - 6, middle + d), (x + 6, middle + d)), 2) for d in (-2.5, 2.5)]
        elif part.drawn == "gap":
            canvas.strokes.append(Stroke(((x, middle - 7), (x, middle + 7)), 8, PAPER))
            canvas.strokes.append(Stroke(((x, middle + 7), (x + 8, middle - 7)), 2.5))
        lines = part_lines(part, room)
        for k, line in enumerate(lines):
            base = middle + LINE * (k - len(lines) / 2) + 9
            fill = INK if part.failing else QUIET
            canvas.labels.append(Label(x + side, base, line, SMALL, anchor, fill, part.failing))
    for n, point in enumerate(rail.points):
        y = top + n * pitch
        canvas.shapes.append(ClosedShape("circle", x, y, 4.5))
        name = wrapped_label(point, room / 1.15, NAME, 1) if point else []
        canvas.labels += [Label(x + side, y + 4, line, NAME, anchor, bold=True) for line in name]


def part_lines(part: VoltagePart, room: float) -> list[str]:
    """The label of a part, cut to the room beside its rail; the failing one says so."""
    if part.failing:
        return wrapped_label(f"THE FAULT: {part.label}", room / 1.15, SMALL, 3)
    return wrapped_label(part.label, room, SMALL, 3)


def bracket(
    canvas: Canvas, span: Span, start: tuple[float, float], pitch: float, lane: int, turned: bool
) -> None:
    """The bracket of a reading along a rail, in its lane, with the figure."""
    x, upper = start
    out = 1.0 if turned else -1.0
    foot = x + out * (10 + lane * LANE)
    top, bottom = upper + span.first * pitch + 7, upper + span.last * pitch - 7
    canvas.strokes.append(
        Stroke(((foot, top), (foot + out * 6, top), (foot + out * 6, bottom), (foot, bottom)), 1.2, QUIET)
    )
    middle = (top + bottom) / 2
    anchor = "start" if turned else "end"
    _figure(canvas, span.figure, foot + out * 11, middle, anchor)


def _figure(canvas: Canvas, figure: CircuitReading, x: float, middle: float, anchor: str) -> None:
    """The value before over the value after, each cut to the lane; the mark stands in front."""
    lines = _said(figure)
    aside = len(lines)
    lines += [(text, False) for text in figure.set_aside[-1:]]
    y = middle - 7 * (len(lines) - 1) + 4
    for n, (text, bold) in enumerate(lines):
        for line in wrapped_label(text, LANE - 16, SMALL, 1):
            fill = INK if bold else QUIET
            canvas.labels.append(Label(x, y + 14 * n, line, SMALL, anchor, fill, bold, struck=n >= aside))


def _said(figure: CircuitReading) -> list[tuple[str, bool]]:
    mark = {"pass": "pass", "near": "NEAR", "fail": "FAIL"}.get(figure.mark, "")
    if figure.due:
        return [(figure.before, False), ("before", False)]
    if figure.before and figure.after:
        said = [(figure.before, False), (f"→ {figure.after}", True)]
    else:
        said = [(figure.after or figure.before, True)]
    return [*said, (mark, False)] if mark else said


def _crossing(
    canvas: Canvas, left: float, right: float, rail: float, away: float, name: str,
    figures: Sequence[CircuitReading], sign: str | None = None,
) -> None:  # fmt: skip
    y, middle = rail + away, (left + right) / 2
    canvas.strokes.append(Stroke(((left, rail), (left, y), (right, y), (right, rail)), 2.5, INK))
    if sign is None:  # the source
        canvas.shapes.append(ClosedShape("box", middle, y, 13, width=92))
        canvas.labels += [Label(middle + d, y + 5, sign, 15, "middle") for d, sign in ((-30, "+"), (30, "−"))]
    else:
        canvas.shapes.append(ClosedShape("circle", middle, y, 17))
        canvas.labels.append(Label(middle, y + 5, sign, 14, "middle", bold=True))
    texts = [(name, True), *((f"{f.label} {figure_words(f)}", False) for f in figures)]
    start = y - 22 - TEXT * (len(texts) - 1) if away < 0 else y + 32
    for n, (text, bold) in enumerate(texts):
        room = 2 * min(middle, WIDTH - middle) - 20
        for line in wrapped_label(text, room / (1.15 if bold else 1), NAME, 1):
            fill = INK if bold else MARK
            canvas.labels.append(Label(middle, start + TEXT * n, line, NAME, "middle", fill, bold))


def figure_words(figure: CircuitReading) -> str:
    """A reading across the battery or the load, in one line."""
    if figure.due:
        return f"{figure.before}, before the repair"
    values = " → ".join(value for value in (figure.before, figure.after) if value)
    return f"{values}, {figure.mark}" if figure.mark != "none" else values
