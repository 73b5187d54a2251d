"""The circuit as lines of text: a loop on a wide terminal, a list on a narrow one.

Wide: the battery on top, the current goes down the left rail to the starter motor and up the
right rail back. Narrow: one rail from top to bottom. What lies between the leads has a
heavy rail; the leads are named, so nothing depends on colour.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from crankpath.shell.outlets.drawing.picture import DrawnSegment, Picture, PicturePoint, Run
from crankpath.shell.text.columns import clipped, columns, padded, wrapped

WIDE: Final = 78
NARROW: Final = 38


@dataclass(frozen=True, slots=True)
class Signs:
    """The characters a drawing is made of."""

    rail: str
    heavy: str
    across: str
    heavy_across: str
    corners: str  # top left, top right, bottom left, bottom right
    dot: str
    main_dot: str  # a point of the main circuit, met on a control run
    probes: str  # pointing right, pointing left
    more: str
    ascii: bool = True


ASCII: Final = Signs("|", "#", "-", "=", "++++", "o", "@", "><", "..")
UNICODE: Final = Signs("│", "┃", "─", "━", "┌┐└┘", "○", "●", "▶◀", "…", ascii=False)
LEAD_NAMES: Final = {"red": "red", "black": "blk"}

_GUTTER: Final = 5  # room for the name of a lead, its tip and a space
_SPELLED: Final = str.maketrans(
    {"Ω": "ohm", "\N{OHM SIGN}": "ohm", "µ": "u", "μ": "u", "°": "deg", "–": "-", "—": "-", "−": "-"}
)


@dataclass(frozen=True, slots=True)
class _Cell:
    """One line of one rail, before it is turned to the left or the right side."""

    mark: str
    text: str = ""
    value: str = ""
    lead: str = ""


def draw_main(picture: Picture, *, width: int = WIDE, signs: Signs = ASCII) -> tuple[str, ...]:
    """The main circuit in lines of at most `width` columns (38 or more); no colours, no tabs."""
    return tuple(_loop(picture, signs) if width >= WIDE else _list(picture, width, signs))


def draw_control(picture: Picture, *, width: int = WIDE, signs: Signs = ASCII) -> tuple[str, ...]:
    """The control runs in lines of at most `width` columns, two beside each other if they fit.

    Empty if the machine has none. Points that also lie on the main circuit have a filled dot.
    """
    beside = width >= WIDE
    narrow = WIDE // 2 - 1 if beside else width
    columns = [[_left(cell, narrow, signs) for cell in _cells(run, narrow, signs)] for run in picture.control]
    lines: list[str] = []
    for n in range(0, len(columns), 2 if beside else 1):
        left, right = columns[n], columns[n + 1] if beside and n + 1 < len(columns) else []
        lines += [""] if n else []
        for row in range(max(len(left), len(right))):
            pair = padded(_at(left, row), narrow + 2) + _at(right, row)
            lines.append(pair.rstrip())
    return tuple(lines)


def _at(lines: list[str], row: int) -> str:
    return lines[row] if row < len(lines) else ""


def _list(picture: Picture, width: int, signs: Signs) -> Iterator[str]:
    corner, dash, margin = signs.corners, signs.across, " " * _GUTTER
    room = width - _GUTTER - 7
    yield f"{margin}{corner[0]}{dash * 2}[ {_fit(_named(picture.battery, signs), room, signs)} ]"
    cells = [
        *_cells(picture.there, width, signs),
        *_piece_cells(picture.load, width, signs),
        *_cells(picture.back, width, signs),
    ]
    yield from (_left(cell, width, signs) for cell in cells)
    back = _fit(_plain(f"back to: {picture.battery.label}", signs), room, signs)
    yield f"{margin}{corner[2]}{dash * 2}[ {back} ]"


def _loop(picture: Picture, signs: Signs) -> Iterator[str]:
    half = WIDE // 2 - 1
    back = Run(picture.back.stops[::-1], picture.back.pieces[::-1])
    left, right = _cells(picture.there, half, signs), _cells(back, half, signs)
    spare = _Cell(signs.heavy if picture.load.marked else signs.rail)
    yield _crossing(picture.battery, signs, signs.corners[:2])
    for row in range(max(len(left), len(right))):
        a = left[row] if row < len(left) else spare
        b = right[row] if row < len(right) else spare
        yield f"{padded(_left(a, half, signs), half)}  {_right(b, half, signs)}".rstrip()
    yield _crossing(picture.load, signs, signs.corners[2:])


def _crossing(piece: DrawnSegment, signs: Signs, corners: str) -> str:
    inner = WIDE - 2 * _GUTTER - 2
    dash = signs.heavy_across if piece.marked else signs.across
    name = f"[ {_fit(_named(piece, signs), inner - 8, signs)} ]"
    return f"{' ' * _GUTTER}{corners[0]}{name.center(inner - columns(name) + len(name), dash)}{corners[1]}"


def _cells(run: Run, width: int, signs: Signs) -> list[_Cell]:
    control = any(not stop.on_main for stop in run.stops)
    cells: list[_Cell] = []
    for n, stop in enumerate(run.stops):
        cells.append(_stop_cell(stop, signs, control))
        if n < len(run.pieces):
            cells += _piece_cells(run.pieces[n], width, signs)
    return cells


def _stop_cell(stop: PicturePoint, signs: Signs, control: bool) -> _Cell:
    dot = signs.main_dot if control and stop.on_main else signs.dot
    return _Cell(dot, _plain(stop.name, signs), lead=LEAD_NAMES.get(stop.lead or "", ""))


def _piece_cells(piece: DrawnSegment, width: int, signs: Signs) -> list[_Cell]:
    rail = signs.heavy if piece.marked else signs.rail
    value = _fit(_plain(piece.value, signs), 12, signs)
    room = width - _GUTTER - 1 - 5 - (columns(value) + 1 if value else 0)
    label = wrapped(_plain(piece.label, signs), room)
    return [_Cell(rail, f"  {text}", value if n == 0 else "") for n, text in enumerate(label)]


def _left(cell: _Cell, width: int, signs: Signs) -> str:
    lead = f"{cell.lead}{signs.probes[0]}" if cell.lead else ""
    start = f"{lead:<{_GUTTER}}{cell.mark}  "
    text = padded(start + _fit(cell.text, _room(cell, width, start), signs), width - columns(cell.value))
    return f"{text}{cell.value}".rstrip()


def _right(cell: _Cell, width: int, signs: Signs) -> str:
    lead = f"{signs.probes[1]}{cell.lead}" if cell.lead else ""
    end = f"  {cell.mark}{lead:>{_GUTTER}}"
    indent = " " * (len(cell.text) - len(cell.text.lstrip()))
    text = _fit(cell.text.strip() + indent, _room(cell, width, end), signs) + end
    return padded(cell.value, width - columns(text)) + text


def _room(cell: _Cell, width: int, other: str) -> int:
    """The columns left for the text of a cell beside its value and something else."""
    return width - columns(other) - (columns(cell.value) + 1 if cell.value else 0)


def _named(piece: DrawnSegment, signs: Signs) -> str:
    return _plain(f"{piece.label} {piece.value}".strip(), signs)


def _fit(text: str, room: int, signs: Signs) -> str:
    return clipped(text, room, signs.more)


def _plain(text: str, signs: Signs) -> str:
    """The text without control characters, spelled in ASCII where the signs are."""
    if signs.ascii:
        spelled = unicodedata.normalize("NFKD", text.translate(_SPELLED))
        text = "".join(c for c in spelled if not unicodedata.combining(c)).encode("ascii", "replace").decode()
    return "".join(c for c in " ".join(text.split()) if c.isprintable())
