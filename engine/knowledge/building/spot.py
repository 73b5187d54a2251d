"""A value in a file while it is read: where it stands, and how a sentence about it begins."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, NoReturn

from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.documents import Place, below
from crankpath.engine.knowledge.entries.values import Origin
from crankpath.engine.knowledge.problems import ProblemCollector, near, quoted


class Spoilt(Exception):
    """A value could not be read; what is wrong with it is noted already."""


@dataclass(frozen=True, slots=True)
class Context:
    """What the reading of one entry needs to know: the names there are, and where problems go.

    checks: record -> what its fields must agree on (`crankpath.engine.knowledge.building.agreement`).
    """

    names: Names
    slips: ProblemCollector
    checks: Mapping[type, tuple[Callable[..., None], ...]]
    id: str
    file: str
    folder: str


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
        said, advice = f"{self.called} has no field {quoted(key)}", near(key, known, 20)
        self.context.slips.add(self.inside(key).key, said, advice, self.context.folder)

    def refuse(self, message: str, advice: str = "", check: str = "") -> NoReturn:
        """Note what is wrong with the value and give it up.

        Raises:
            Spoilt: always.
        """
        self.wrong(message, advice, check)
        raise Spoilt

    def unfit(self, value: Any, expected: str) -> NoReturn:
        """Give up a value of the wrong sort; `expected` is a noun phrase.

        Raises:
            Spoilt: always.
        """
        self.refuse(f"{shown(value)} does not fit", f"Expected {expected}")


def shown(value: Any) -> str:
    """A value in a sentence, as it is written."""
    if isinstance(value, dict):
        return "this mapping" if value else "an empty mapping"
    if isinstance(value, list):
        return "this list" if value else "an empty list"
    if value is None:
        return "nothing"
    return quoted(str(value).lower() if isinstance(value, bool) else value)
