"""Lines of a benchmark: figures in, text out."""

from __future__ import annotations

from collections.abc import Sequence
from math import log

from bench_timing import Steps

_HEAD = ("base", "faults'", "sets", "first", "first", "one more", "and all", "two steps", "memory")
_HEAD_2 = ("", "degrees", "", "ranking", "advice", "reading", "advice", "ahead", "MB")
_WIDTHS = (12, 9, 9, 9, 9, 10, 9, 11, 8)


def table(rows: Sequence[Steps]) -> list[str]:
    """One line a base; times in milliseconds of processor time."""
    lines = [_line(_HEAD), _line(_HEAD_2)]
    for row in rows:
        held = "-" if row.megabytes is None else f"{row.megabytes:.1f}"
        times = (row.first, row.once, row.more, row.suggested, row.two)
        lines.append(_line((row.name, str(row.elements), str(row.sets), *map(milliseconds, times), held)))
    return lines


def milliseconds(time: float) -> str:
    """A time in ms as text, with fewer decimals the longer it is.

    >>> milliseconds(0.1234), milliseconds(8.123), milliseconds(1234.5)
    ('0.12', '8.1', '1234')
    """
    return f"{time:.2f}" if time < 1 else f"{time:.1f}" if time < 100 else f"{time:.0f}"


def _line(cells: Sequence[str]) -> str:
    first, *others = cells
    right = [cell.rjust(width) for cell, width in zip(others, _WIDTHS[1:], strict=True)]
    return (first.ljust(_WIDTHS[0]) + "".join(right)).rstrip()


def plot(points: Sequence[tuple[float, float]], power: float, height: int = 9, width: int = 48) -> list[str]:
    """Milliseconds over faults, both axes logarithmic, with the fitted exponent below.

    >>> print(*plot([(10, 1.0), (100, 100.0)], 2.0, height=3, width=9), sep=chr(10))
         100 |        o
             |
           1 |o
             +---------
              10 to 100 faults, both axes logarithmic; time grows as faults to the power 2.00
    """
    xs, ys = [log(x) for x, _ in points], [log(y) for _, y in points]
    grid = [[" "] * width for _ in range(height)]
    for x, y in zip(xs, ys, strict=True):
        column = round((x - min(xs)) / (max(xs) - min(xs)) * (width - 1))
        row = round((max(ys) - y) / ((max(ys) - min(ys)) or 1.0) * (height - 1))
        grid[row][column] = "o"
    labels = {0: max(y for _, y in points), height - 1: min(y for _, y in points)}
    lines = [
        f"{labels[n]:8.3g} |{''.join(row)}".rstrip() if n in labels else f"{'':8} |{''.join(row)}".rstrip()
        for n, row in enumerate(grid)
    ]
    span = f"{min(x for x, _ in points):g} to {max(x for x, _ in points):g} faults"
    said = f"{span}, both axes logarithmic; time grows as faults to the power {power:.2f}"
    return [*lines, f"{'':8} +{'-' * width}", f"{'':10}{said}"]
