"""An SVG drawing: shapes and labels with known boxes, so that overlap can be computed.

Everything is drawn in place: no scripts, no fonts, no links, no other files.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from crankpath.shell.text.columns import columns

INK: Final = "#17252b"
QUIET: Final = "#54656d"
PAPER: Final = "#fdfcf8"
MARK: Final = "#b4480f"
TINTS: Final = ("#e4ecec", "#f6e3c8")
FONT: Final = "DejaVu Sans, Verdana, Arial, sans-serif"
BOLD: Final = 1.15  # how much broader bold type is

Box = tuple[float, float, float, float]
"""left, top, right, bottom"""

# Ems by sort of letter, above the advance widths of DejaVu Sans, the broadest font of `FONT`.
_NARROW: Final = frozenset("iljtfrI.,:;'|!()[]/ -")
_BROAD: Final = frozenset("mMW@%—…")
_MIDDLE: Final = frozenset("w+=<>~#^&−±×÷Ω")


def text_width(text: str, size: float) -> float:
    """An upper bound of the text's width in the fonts of `FONT`; same unit as size."""
    return size * sum(map(_ems, text))


def _ems(letter: str) -> float:
    if letter in _NARROW:
        return 0.42
    if letter in _BROAD or columns(letter) == 2:
        return 1.02
    return 0.84 if letter in _MIDDLE or letter.isupper() else 0.65


@dataclass(frozen=True, slots=True)
class Label:
    """A line of text; (x, y) is its anchor on the base line."""

    x: float
    y: float
    text: str
    size: float = 13
    anchor: str = "start"  # start | middle | end
    fill: str = INK
    bold: bool = False
    struck: bool = False

    def box(self) -> Box:
        """The room it needs, ascenders and descenders counted."""
        width = text_width(self.text, self.size) * (BOLD if self.bold else 1)
        left = self.x - {"start": 0.0, "middle": width / 2, "end": width}[self.anchor]
        return (left, self.y - 0.8 * self.size, left + width, self.y + 0.25 * self.size)

    def svg(self) -> str:
        weight = ' font-weight="bold"' if self.bold else ""
        weight += ' text-decoration="line-through"' if self.struck else ""
        return (
            f'<text x="{_n(self.x)}" y="{_n(self.y)}" font-size="{_n(self.size)}" '
            f'text-anchor="{self.anchor}" fill="{self.fill}"{weight}>{escape(printable(self.text))}</text>'
        )


@dataclass(frozen=True, slots=True)
class Stroke:
    """A path of straight lines through points."""

    points: tuple[tuple[float, float], ...]
    width: float = 3
    colour: str = INK
    dashes: str = ""

    def svg(self) -> str:
        path = " ".join(f"{_n(x)},{_n(y)}" for x, y in self.points)
        dashes = f' stroke-dasharray="{self.dashes}"' if self.dashes else ""
        return (
            f'<polyline points="{path}" fill="none" stroke="{self.colour}" stroke-width="{_n(self.width)}" '
            f'stroke-linejoin="round"{dashes}/>'
        )


@dataclass(frozen=True, slots=True)
class ClosedShape:
    """A closed figure about a centre: circle, square, diamond or box (with its own width)."""

    sort: str
    x: float
    y: float
    radius: float
    fill: str = PAPER
    stroke: str = INK
    width: float | None = None  # of a box; its height is two radii

    def box(self) -> Box:
        half = self.radius if self.width is None else self.width / 2
        return (self.x - half, self.y - self.radius, self.x + half, self.y + self.radius)

    def svg(self) -> str:
        paint = f'fill="{self.fill}" stroke="{self.stroke}" stroke-width="2"'
        left, top, right, bottom = map(_n, self.box())
        x, y, r = _n(self.x), _n(self.y), _n(self.radius)
        match self.sort:
            case "circle":
                return f'<circle cx="{x}" cy="{y}" r="{r}" {paint}/>'
            case "diamond":
                return f'<polygon points="{x},{top} {right},{y} {x},{bottom} {left},{y}" {paint}/>'
            case _:
                half = self.radius if self.width is None else self.width / 2
                return (
                    f'<rect x="{left}" y="{top}" width="{_n(2 * half)}" height="{_n(2 * self.radius)}" '
                    f'rx="{0 if self.sort == "square" else 4}" {paint}/>'
                )


@dataclass(slots=True)
class Canvas:
    """A drawing: what is on it, in order, and its size."""

    title: str
    about: str
    width: float
    height: float
    strokes: list[Stroke] = field(default_factory=list)
    shapes: list[ClosedShape] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    def svg(self) -> str:
        """The canvas as one self-contained SVG document."""
        wide, high = _n(self.width), _n(self.height)
        head = f'width="{wide}" height="{high}" viewBox="0 0 {wide} {high}" role="img"'
        things: list[Stroke | ClosedShape | Label] = [*self.strokes, *self.shapes, *self.labels]
        parts = (
            f'<svg xmlns="http://www.w3.org/2000/svg" {head} font-family={quoteattr(FONT)}>',
            f"<title>{escape(printable(self.title))}</title>",
            f"<desc>{escape(printable(self.about))}</desc>",
            f'<rect width="100%" height="100%" fill="{PAPER}"/>',
            *(thing.svg() for thing in things),
            "</svg>",
        )
        return "\n".join(parts) + "\n"


def overlap(a: Box, b: Box) -> bool:
    """True if two boxes share more than an edge."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def printable(text: str) -> str:
    """The text with blanks for the characters that no XML document may hold."""
    return "".join(c if c.isprintable() else " " for c in text)


def wrapped_label(text: str, room: float, size: float, most: int) -> list[str]:
    """The text in at most `most` lines no wider than `room`; what does not fit ends in '…'."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    if len(lines) > most:
        lines = [*lines[: most - 1], f"{lines[most - 1]} …"]
    return [_shortened(line, room, size) for line in lines]


def _shortened(line: str, room: float, size: float) -> str:
    if text_width(line, size) <= room:
        return line
    line = line.removesuffix("…").rstrip()
    while line and text_width(f"{line}…", size) > room:
        line = line[:-1]
    return f"{line}…"


def _n(number: float) -> str:
    return f"{number:.1f}".removesuffix(".0")
