"""A crank as a small plot of plain characters; a pure function."""

from __future__ import annotations

from typing import Final

from crankpath.engine.recordings.outline import Outline

ROWS: Final = 7
_LABEL: Final = 9


def plot(outline: Outline, column: int, unit: str) -> list[str]:
    """Lowest to highest of each stretch as a bar of |, the scale on the left, seconds below.

    Args:
        outline: of a crank, with as many stretches as `plot_columns(width)`.
    """
    pairs = outline.columns[column]
    low, high = min(a for a, _ in pairs), max(b for _, b in pairs)
    room = high - low or 1.0
    lines = []
    for row in range(ROWS):
        top, bottom = high - room * row / ROWS, high - room * (row + 1) / ROWS
        cells = ["|" if a <= top and b >= bottom else " " for a, b in pairs]
        label = f"{high:.4g} {unit}" if row == 0 else f"{low:.4g} {unit}" if row == ROWS - 1 else ""
        lines.append(f"{label:>{_LABEL}} {''.join(cells)}".rstrip())
    return [*lines, _seconds(outline, len(pairs))]


def plot_columns(width: int) -> int:
    """How many stretches fit beside the scale."""
    return max(20, width - _LABEL - 2)


def _seconds(outline: Outline, count: int) -> str:
    """The line below: 0 where the crank begins, and every whole second that has room."""
    line = [" "] * count
    length = outline.ends - outline.begins or 1.0
    step = max(1, round(8 * length / count))
    for second in range(0, int(outline.ends) + 1, step):
        place = int((second - outline.begins) / length * count)
        text = f"{second} s"
        if place + len(text) <= count:
            line[place : place + len(text)] = text
    return " " * (_LABEL + 1) + "".join(line).rstrip()


def level_bar(value: float, low: float, high: float, width: int) -> str:
    """A value as a bar between two others, for a crank under way."""
    share = (value - low) / (high - low) if high > low else 0.0
    return "|" * max(0, min(width, round(share * width)))


