"""Plain data read from a text, and where in the text each piece of it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

from crankpath.engine.knowledge.entries.values import Origin
from crankpath.engine.knowledge.problems import Problem

Path = tuple[str | int, ...]
"""The way to a value: keys and list indices, outermost first."""


class Place(NamedTuple):
    """Where a value begins, and the places of what is in it.

    below: for a mapping, key -> (line, column of the key, place of its value); for a
    list, the places of its items; None for a scalar.
    """

    line: int
    column: int
    below: dict[str, tuple[int, int, Place]] | list[Place] | None


@dataclass(frozen=True, slots=True)
class Document:
    """What a YAML text says: plain data, the places of it, and what is wrong with it."""

    file: str
    data: Any
    place: Place
    problems: tuple[Problem, ...]

    def origin(self, path: Path = ()) -> Origin:
        """Where the value at the path begins, or the nearest thing around it that exists."""
        place = self.place
        for step in path:
            inner = inside(place, step)
            if inner is place:
                break
            place = inner
        return Origin(self.file, place.line, place.column)

    def key_origin(self, path: Path) -> Origin:
        """Where the key that ends the path stands (a list's item: where the item begins)."""
        place = self.place
        for step in path[:-1]:
            inner = inside(place, step)
            if inner is place:
                return Origin(self.file, place.line, place.column)
            place = inner
        return key_origin(self.file, place, path[-1]) if path else self.origin()


@dataclass(frozen=True, slots=True)
class RawEntry:
    """One entry as written: plain data, its place, and the folder and file it stands in."""

    id: str
    data: Any
    place: Place
    key: Origin
    folder: str


def below(place: Place, step: str | int) -> tuple[int, int, Place]:
    """Line and column of a key inside a mapping (of an item of a list), and the place of its value.

    They are those of `place` itself if there is nothing of that name.
    """
    inner = place.below
    if isinstance(inner, dict):
        return inner.get(str(step)) or (place.line, place.column, place)
    if inner is not None and isinstance(step, int) and 0 <= step < len(inner):
        place = inner[step]
    return place.line, place.column, place


def key_origin(file: str, place: Place, key: str | int) -> Origin:
    """Where a key of the mapping at `place` stands; the mapping itself if it has no such key."""
    line, column, _ = below(place, key)
    return Origin(file, line, column)


def inside(place: Place, step: str | int) -> Place:
    """The place of a value inside a mapping or list; `place` itself if there is none."""
    return below(place, step)[2]
