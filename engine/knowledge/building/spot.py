"""A value in a file while it is read: where it stands, and how a sentence about it begins."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, NoReturn

from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.documents import Place, below
from crankpath.engine.knowledge.entries.values import Origin
from crankpath.engine.knowledge.problems import ProblemCollector, near, quoted


class InvalidValue(Exception):
    """A value could not be read; what is wrong with it is noted already."""


@dataclass(frozen=True, slots=True)
class Context:
    """What the reading of one entry needs to know: the names there are, and where problems go.

    checks: record -> what its fields must agree on (`crankpath.engine.knowledge.building.agreement`).
    column: where the entry's key begins, in which section. homes: field -> the sections that have it.
    """

    names: Names
    slips: ProblemCollector
    checks: Mapping[type, tuple[Callable[..., None], ...]]
    id: str
    file: str
    folder: str
    column: int = 0
    section: str = ""
    homes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(slots=True)
class Spot:
    """One value. line, column: where its key stands, from 1. step: its key, or how it is called on top."""

    context: Context
    step: str | int
    place: Place
    line: int
    column: int
    above: Spot | None = None

    @property
    def called(self) -> str:
        """How a sentence names the value; positions in a list are counted from 1."""
        step = self.step + 1 if isinstance(self.step, int) else self.step
        return f"{self.above.called} {step}" if self.above is not None else str(step)

    @property
    def names(self) -> Names:
        """Every name that an entry may refer to."""
        return self.context.names

    @property
    def origin(self) -> Origin:
        """Where the value begins."""
        return Origin(self.context.file, self.place.line, self.place.column)

    @property
    def key(self) -> Origin:
        """Where the value's key stands."""
        return Origin(self.context.file, self.line, self.column)

    @property
    def place_below(self) -> Mapping[str, Any]:
        """The keys of a mapping as written, with their places."""
        return self.place.below if isinstance(self.place.below, Mapping) else {}

    def inside(self, *steps: str | int) -> Spot:
        """The spot of a value inside this one."""
        spot = self
        for step in steps:
            line, column, place = below(spot.place, step)
            spot = Spot(self.context, step, place, line, column, spot)
        return spot

    def wrong(self, message: str, advice: str = "", check: str = "") -> None:
        """Note what is wrong with the value."""
        said = f"{self.called}: {message}"
        self.context.slips.add(self.origin, said, advice, self.context.folder, check=check)

    def wrong_key(self, message: str, advice: str = "", check: str = "") -> None:
        """Note what is wrong with the value's key."""
        said = f"{self.called}: {message}"
        self.context.slips.add(self.key, said, advice, self.context.folder, check=check)

    def lacks(self, message: str, advice: str = "") -> None:
        """Note what is wrong with the entry as a whole; it is told where its key stands."""
        self.context.slips.add(self.key, f"{self.called} {message}", advice, self.context.folder)

    def unknown(self, key: str, known: list[str]) -> None:
        """Note a field that does not exist."""
        said, advice = f"{self.called} has no field {quoted(key)}", self._meant(key, known)
        self.context.slips.add(self.inside(key).key, said, advice, self.context.folder)

    def _meant(self, key: str, known: list[str]) -> str:
        """What to type for a field that does not exist."""
        name, colon, rest = key.partition(":")
        if colon and name in known:
            return f"A space is missing after the colon: type '{name}: {rest}'"
        if (advice := near(key, known, 0)).startswith(("Did you", "Type", "'")):
            return advice
        if homes := self.context.homes.get(key, ()):
            return f"It belongs to an entry of {' or '.join(homes)}: take it out here"
        if "reads" in known and any(key in bands for bands in self.names.bands.values()):
            return f"Write 'reads: {{{key}: ...}}'"
        if self.names.sections["settings"].keys() & {key}:
            return "Write it under 'settings:'"
        return near(key, known, 20)

    def is_lost(self, section: str, name: str) -> bool:
        """True if a folder retired what is named here; that is told once, where it was retired."""
        lost = self.names.lost.get((section, name))
        if lost is None:
            return False
        retired, origin, folder = lost
        if not any(slip.origin == origin for slip in self.context.slips):
            message = (
                f"cannot retire {quoted(retired)}: {self.called} ({self.origin}) still names "
                f"{quoted(name)}"
            )
            advice = f"Retire {self.context.id} as well, or write an entry of that id to replace it"
            self.context.slips.add(origin, message, advice, folder, check="unknown_id")
        return True

    def refuse(self, message: str, advice: str = "", check: str = "") -> NoReturn:
        """Note what is wrong with the value and give it up.

        Raises:
            InvalidValue: always.
        """
        self.wrong(message, advice, check)
        raise InvalidValue

    def unfit(self, value: Any, expected: str, meant: str = "") -> NoReturn:
        """Give up a value of the wrong sort; `expected` is a noun phrase, `meant` what to type instead.

        Raises:
            InvalidValue: always.
        """
        told = f"Expected {expected}"
        self.refuse(f"{as_written(value)} does not fit", f"{told}: type {meant}" if meant else told)


def as_written(value: Any) -> str:
    """A value in a sentence, as it is written."""
    if isinstance(value, dict):
        return "this mapping" if value else "an empty mapping"
    if isinstance(value, list):
        return "this list" if value else "an empty list"
    if value is None:
        return "nothing"
    return quoted(str(value).lower() if isinstance(value, bool) else value)
