"""How a recording is laid out: what parts its columns, its decimal sign, its header and units.

Nothing is guessed: what can be read in two ways is refused with what to do.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.engine.errors import RecordingError
from crankpath.engine.recordings.clocks import UNITS, is_clock, time_unit
from crankpath.engine.typed.units import unit_called

HEAD_LINES: Final = 200
"""So many lines are looked at to find the layout."""

_SEPARATORS: Final = ("\t", ";", ",", " ")
_NUMBER: Final = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?\Z")
_UNIT: Final = re.compile(
    r"^(.*?)[\s,_/]*[\[(]\s*([^\])]+?)\s*[\])]\s*$|^(.*\S)(?:\s*/\s*|\s*,\s*|\s+|_)(\S+)$"
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its number from 1, its name in the header, the unit written there."""

    place: int
    name: str
    unit: str | None


@dataclass(frozen=True, slots=True)
class FileLayout:
    """How every line is read.

    separator: what parts the columns. decimal: "." or ",". columns: all of them.
    first: number of the first line with values. sample: the cells of that line.
    """

    separator: str
    decimal: str
    columns: tuple[Column, ...]
    first: int
    sample: tuple[str, ...]

    @property
    def time(self) -> Column | None:
        """The column whose header or form says that it holds the time; None where nothing says so."""
        clocks = [c for c in self.columns if is_clock(self.sample[c.place - 1])]
        named = [c for c in self.columns if c.unit in UNITS or _says_time(c.name)]
        return next(iter((*clocks, *named)), None)


def cells_of(line: str, separator: str) -> list[str]:
    """The cells of one line, without blanks and quotes around them."""
    line = line.strip("\r\n")
    if '"' in line:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator), [])]
    return line.split() if separator == " " else [cell.strip() for cell in line.split(separator)]


def layout_of(lines: Sequence[str]) -> FileLayout:
    """The layout that the first lines of a recording show.

    Raises:
        RecordingError: no values are found, or they can be read in two ways.
    """
    separator, rows = _best(lines, words=False)
    if not rows:
        separator, rows = _best(lines, words=True)
    if not rows:
        raise RecordingError(
            "No line with a time and a number beside it was found. Export the recording as text "
            "(CSV), one line a sample, columns parted by comma, semicolon or tab."
        )
    first, sample = rows[0]
    decimal = _decimal(separator, rows)
    header = [cells_of(line, separator) for line in lines[: first - 1] if line.strip()]
    if header and separator == "," and len(header[-1]) * 2 in (len(sample), len(sample) + 1):
        raise RecordingError(
            f"Line {first}: commas stand between the columns and in the numbers, so they cannot be told "
            "apart. Export with semicolons or tabs between the columns."
        )
    return FileLayout(separator, decimal, _columns(header, sample), first, tuple(sample))


_Rows = list[tuple[int, list[str]]]


def _best(lines: Sequence[str], words: bool) -> tuple[str, _Rows]:
    """The separator by which most lines are values, and these with their numbers."""
    found: tuple[str, _Rows] = ("", [])
    for separator in _SEPARATORS:
        cells = [(n, cells_of(line, separator)) for n, line in enumerate(lines[:HEAD_LINES], 1)]
        rows = [(n, row) for n, row in cells if _values(row, words)]
        if len(rows) > len(found[1]):
            found = separator, rows
    return found


def _says_time(name: str) -> bool:
    return bool(re.match(r"(?:time|zeit|date|datum|uhr|clock|t)(?![a-z])", name, re.IGNORECASE))


def _values(cells: Sequence[str], words: bool) -> bool:
    """A line of values: two numbers or clocks at least and nothing else; with `words`, few other words."""
    told = [cell for cell in cells if _NUMBER.match(cell) or is_clock(cell)]
    if len(told) < 2 or not _NUMBER.match(told[-1]):
        return False
    return 2 * len(told) > len(cells) if words else len(told) == len(cells)


def _decimal(separator: str, rows: Sequence[tuple[int, Sequence[str]]]) -> str:
    if separator == ",":
        return "."
    commas = next((n for n, cells in rows for c in cells if "," in c and _NUMBER.match(c)), None)
    points = next((n for n, cells in rows for c in cells if "." in c and _NUMBER.match(c)), None)
    if commas and points:
        raise RecordingError(
            f"Some numbers have a decimal comma (line {commas}), others a point (line {points}). "
            "Export the recording with one of them."
        )
    return "," if commas else "."


def _columns(header: Sequence[Sequence[str]], sample: Sequence[str]) -> tuple[Column, ...]:
    fitting = [cells for cells in header if len(cells) == len(sample)]
    units: Sequence[str | None] = [None] * len(sample)
    if fitting and all(_unit(cell.strip("[]()")) or not cell.strip("[]()") for cell in fitting[-1]):
        units = [_unit(cell.strip("[]()")) for cell in fitting.pop()]
    names = fitting[-1] if fitting else [""] * len(sample)
    columns = []
    for place, (name, below) in enumerate(zip(names, units, strict=True), 1):
        short, unit = _named(name)
        columns.append(Column(place, short or f"column {place}", below or unit))
    return tuple(columns)


def _named(name: str) -> tuple[str, str | None]:
    """A header without its unit, and the unit."""
    found = _UNIT.match(name)
    if found:
        short, written = (found[1], found[2]) if found[2] else (found[3], found[4])
        if unit := _unit(written):
            return short.strip(), unit
    return name.strip(), None


def _unit(word: str) -> str | None:
    if unit := time_unit(word):
        return unit
    known = unit_called(word)
    return known.name if known and known.dimension in ("V", "A") else None
