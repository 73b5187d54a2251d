"""Parts of a screen, and leaving the least important ones out where the terminal is short."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ScreenPart:
    """Lines that belong together.

    keep: the higher, the longer it stays; parts from `ALWAYS` on are never left out.
    short: what stands for the lines where there is less room.
    """

    lines: tuple[str, ...]
    keep: int
    short: tuple[str, ...] | None = None


ALWAYS = 100


def fitted(parts: Iterable[ScreenPart], rows: int) -> list[str]:
    """The parts' lines, in their order, in at most `rows` lines where that can be (0: no end).

    The least important are shortened and then left out, one after another.

    >>> fitted([ScreenPart(("a", "b", "c"), 1, ("abc",)), ScreenPart(("d",), ALWAYS)], 2)
    ['abc', 'd']
    """
    kept = [part for part in parts if part.lines]
    for keep in sorted({part.keep for part in kept}) if rows > 0 else ():
        if _height(kept) > rows:
            kept = [p if p.short is None or p.keep != keep else ScreenPart(p.short, keep) for p in kept]
        if _height(kept) > rows and keep < ALWAYS:
            kept = [p for p in kept if p.keep != keep]
    return [line for part in kept for line in part.lines]


def _height(parts: Sequence[ScreenPart]) -> int:
    return sum(len(part.lines) for part in parts)


def always(lines: Sequence[str]) -> ScreenPart:
    """A part that is never left out."""
    return ScreenPart(tuple(lines), ALWAYS)
