"""Where the voltage went: one bar before and one after the repair, on the same scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from crankpath.shell.outlets.drawing.canvas import (
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
)
from crankpath.shell.outlets.pages.sheet.data import BudgetPart, VoltageBudget

WIDTH: Final = 720.0
_MARGIN: Final = 12.0
_BAR: Final = 26.0
_ROW: Final = 90.0
_SMALL: Final = 10.5
_HATCH: Final = 9.0
_USEFUL: Final = ("rest", "load")


def draw_bars(budgets: Sequence[VoltageBudget], title: str) -> str:
    """The bars as SVG, self-contained; nothing but a title for no budget."""
    return lay_out_bars(budgets, title).svg()


def lay_out_bars(budgets: Sequence[VoltageBudget], title: str) -> Canvas:
    """The same as a `Canvas`, with the box of everything on it."""
    about = "; ".join(f"{b.when}: {', '.join(f'{p.label} {_volts(p)}' for p in b.parts)}" for b in budgets)
    canvas = Canvas(title, about, WIDTH, 12 + _ROW * len(budgets))
    longest = max((sum(p.volts for p in b.parts) for b in budgets), default=0.0) or 1.0
    scale = (WIDTH - 2 * _MARGIN) / longest
    for n, budget in enumerate(budgets):
        _bar(canvas, budget, 12 + n * _ROW, scale)
    return canvas


def _bar(canvas: Canvas, budget: VoltageBudget, top: float, scale: float) -> None:
    whole = sum(part.volts for part in budget.parts)
    head = f"{budget.when}: {whole:.2f} V in all"
    canvas.labels.append(Label(_MARGIN, top + 10, head, 11.5, bold=True))
    y = top + 18 + _BAR / 2
    x = _MARGIN
    middles = []
    for part in budget.parts:
        width = part.volts * scale
        _piece(canvas, part, x, y, width)
        middles.append(x + width / 2)
        x += width
    widths = [max(text_width(t, _SMALL) for t in (p.label, _volts(p))) * 1.15 + 10 for p in budget.parts]
    for part, middle, at in zip(budget.parts, middles, _spread(middles, widths), strict=True):
        foot = y + _BAR / 2
        canvas.strokes.append(Stroke(((middle, foot), (middle, foot + 4), (at, foot + 14)), 1, QUIET))
        canvas.labels.append(Label(at, foot + 25, part.label, _SMALL, "middle", QUIET))
        canvas.labels.append(Label(at, foot + 39, _volts(part), _SMALL, "middle", INK, bold=True))


def _piece(canvas: Canvas, part: BudgetPart, x: float, y: float, width: float) -> None:
    """What does work is plain; what is lost is hatched; what is not known is empty."""
    if width < 0.6:
        canvas.strokes.append(Stroke(((x, y - _BAR / 2), (x, y + _BAR / 2)), 1.2, MARK))
        return
    useful, unknown = part.part in _USEFUL, part.part == "not_read"
    fill = PAPER if unknown else TINTS[0] if useful else TINTS[1]
    canvas.shapes.append(ClosedShape("square", x + width / 2, y, _BAR / 2, fill, INK, width))
    if useful or unknown:
        return
    # Strokes are drawn below shapes, so the hatching is made of slim shapes.
    at = x + _HATCH
    while at < x + width - 2:
        canvas.shapes.append(ClosedShape("square", at, y, _BAR / 2 - 3, MARK, MARK, 0.4))
        at += _HATCH


def _volts(part: BudgetPart) -> str:
    about = "" if part.read else "≈ "
    return f"{about}{part.volts:.2f} V"


def _spread(middles: Sequence[float], widths: Sequence[float]) -> list[float]:
    """Middles of labels as near to the wished ones as the sheet and their widths allow, in order."""
    left = _MARGIN
    places = []
    for middle, width in zip(middles, widths, strict=True):
        at = max(middle, left + width / 2)
        places.append(at)
        left = at + width / 2
    right = WIDTH - _MARGIN
    for n in range(len(places) - 1, -1, -1):
        places[n] = min(places[n], right - widths[n] / 2)
        right = places[n] - widths[n] / 2
    return places
