"""Parts of a screen, and leaving the least important ones out where the terminal is short."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Part:
    """Lines that belong together.

    keep: the higher, the longer it stays; parts from `ALWAYS` on are never left out.
    short: what stands for the lines where there is less room.
    """

    lines: tuple[str, ...]
    keep: int
    short: tuple[str, ...] | None = None


ALWAYS = 100


def fitted(parts: Iterable[Part], rows: int) -> list[str]:
    """The parts' lines, in their order, in at most `rows` lines where that can be (0: no end).

    First the parts are shortened, the least important first, then left out.

    >>> fitted([Part(("a", "b", "c"), 1, ("abc",)), Part(("d",), ALWAYS)], 2)
    ['abc', 'd']
    """
    kept = [part for part in parts if part.lines]
    if rows > 0:
        for shorten in (True, False):
            for keep in sorted({p.keep for p in kept if p.keep < ALWAYS or shorten}):
                if _height(kept) <= rows:
                    break
                kept = _less(kept, keep, shorten)
    return [line for part in kept for line in part.lines]


def _height(parts: Sequence[Part]) -> int:
    return sum(len(part.lines) for part in parts)


def _less(parts: Sequence[Part], keep: int, shorten: bool) -> list[Part]:
    if shorten:
        return [Part(p.short, p.keep) if p.keep == keep and p.short is not None else p for p in parts]
    return [p for p in parts if p.keep != keep]


def always(lines: Sequence[str]) -> Part:
    """A part that is never left out."""
    return Part(tuple(lines), ALWAYS)
