"""Plain data read from a text, and where in the text each piece of it stands."""

from __future__ import annotations

from collections.abc import Mapping
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
    """What a YAML text says: plain data, the places of it, and what is wrong with it.

    doubts: what can be read, but not as it was meant.
    """

    file: str
    data: Any
    place: Place
    problems: tuple[Problem, ...]
    doubts: tuple[Problem, ...] = ()

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
    """One entry as written: plain data, its place, and the folder and file it stands in.

    spoilt: what it is like is not there, which is told; so its own fields say nothing yet.
    """

    id: str
    data: Any
    place: Place
    key: Origin
    folder: str
    spoilt: bool = False


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


def located(raw: RawEntry, origin: Origin, path: Path) -> Origin:
    """Where the value at the path stands, from what stands at `origin` in the entry; as near as there is."""
    place = raw.place if origin == raw.key else _at(raw.place, origin) or raw.place
    line, column = origin.line, origin.column
    for step in path:
        inner = below(place, step)
        if inner[2] is place:
            break
        line, column, place = inner
    return Origin(origin.file, line, column)


def _at(place: Place, origin: Origin) -> Place | None:
    """The value whose key, or which itself, stands at `origin`."""
    if isinstance(place.below, Mapping):
        for line, column, inner in place.below.values():
            if (line, column) == (origin.line, origin.column):
                return inner
            if found := _at(inner, origin):
                return found
    elif place.below is not None:
        for item in place.below:
            if (item.line, item.column) == (origin.line, origin.column):
                return item
            if found := _at(item, origin):
                return found
    return None


def inside(place: Place, step: str | int) -> Place:
    """The place of a value inside a mapping or list; `place` itself if there is none."""
    return below(place, step)[2]
