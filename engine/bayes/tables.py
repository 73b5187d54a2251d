"""What one measurement shows under any set of faults: P(reading | H).

A table holds a row for a sound circuit and one for every fault that moves the reading. What several
faults show together follows from how the measurement says they combine; with one fault its rule's row
holds as written, background included (the *compound* convention of Henrion 1987 and Diez 1993). The
row of an observation is a chance for each of its values; of a meter reading, a density over the
meter's own scale (`crankpath.engine.bayes.densities`). Elements are indexes; what they stand for
is not known here.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Any, Final, Generic, TypeVar

from crankpath.engine.bayes.combining import Chances, noisy_max, product_of_odds
from crankpath.engine.bayes.densities import (
    OF_DEVIATION,
    Component,
    Density,
    Extreme,
    ReadingDensity,
    Scale,
    shifted,
    summed_drops,
)

Members = tuple[int, ...]
Row = TypeVar("Row")


class ComputedMapping(dict[Any, Any]):
    """A mapping whose values are worked out from their keys when first asked for."""

    def __init__(self, work: Callable[[Any], Any]) -> None:
        super().__init__()
        self._work = work

    def __missing__(self, key: Any) -> Any:
        value = self[key] = self._work(key)
        return value


@dataclass(frozen=True)
class Effect(Generic[Row]):
    """What one element does to a measurement: what is read, its rank as a mask, and the rule that says so."""

    row: Row
    masks: int = 0
    rule: str = ""


@dataclass(frozen=True)
class Table(Generic[Row]):
    """Everything needed for P(reading | H) of one measurement under one set of facts.

    Attributes:
        healthy: what a sound circuit shows.
        effects: element -> `Effect`; elements that are absent change nothing.
        unlisted: what is shown when something the knowledge base does not list is at fault.
        shows_when_symptom_absent: element -> chance that it shows although the symptom is away; 1 if absent.
    """

    healthy: Row
    effects: Mapping[int, Effect[Row]]
    unlisted: Row
    shows_when_symptom_absent: Mapping[int, float] = field(default_factory=dict)

    @abstractmethod
    def _combined(self, rows: Sequence[Row]) -> Row:
        """The row of several faults at once, none of which masks another."""

    @abstractmethod
    def outcomes(self, row: Row) -> Chances:
        """Chance of each outcome that the worth of a reading is worked out with; sums to 1."""

    @abstractmethod
    def chances(self, row: Row) -> Chances:
        """Chance of each named band or value, for people; sums to 1."""

    @abstractmethod
    def outcomes_of_repeat(self, read: Any) -> Chances:
        """Chance of each outcome where nothing has changed since an earlier reading."""

    def without(self, elements: frozenset[int]) -> Table[Row]:
        """The same table with fewer elements that move the reading."""
        if elements not in self._thinned:
            effects = {index: effect for index, effect in self.effects.items() if index not in elements}
            self._thinned[elements] = self._with_effects(effects)
        return self._thinned[elements]

    @abstractmethod
    def _with_effects(self, effects: Mapping[int, Effect[Row]]) -> Table[Row]:
        """The same table with other effects."""

    def touched(self, members: Sequence[int]) -> Members:
        """The members that have an effect here, in order."""
        return tuple(member for member in members if member in self.effects)

    def row_of(self, members: Sequence[int]) -> Row:
        """What is shown for a set of faults, whether they have an effect here or not."""
        return self.row_of_classes(_rising(map(self.class_of.get, members)))

    def row_of_classes(self, signature: tuple[int, ...]) -> Row:
        """The same by the classes of the members that have an effect here, rising."""
        known = self._rows.get(signature)
        if known is None:
            effects = [self.classes[number] for number in signature]
            known = self._rows[signature] = self._masked(effects) if effects else self.healthy
        return known

    def _masked(self, effects: Sequence[Effect[Row]]) -> Row:
        rank = max(effect.masks for effect in effects)
        rows = [effect.row for effect in effects if effect.masks == rank]
        return rows[0] if len(rows) == 1 else self._combined(rows)

    @cached_property
    def outcomes_of(self) -> Mapping[Members, Chances]:
        """Set of faults -> chance of each outcome, worked out when first asked for.

        Sets that show the same here have the same object.
        """
        return self._by_members(self._outcomes)

    @cached_property
    def _outcomes(self) -> Mapping[tuple[int, ...], Chances]:
        """Classes of faults, rising -> chance of each outcome."""
        return ComputedMapping(lambda signature: self.outcomes(self.row_of_classes(signature)))

    @cached_property
    def outcomes_unlisted(self) -> Chances:
        """Chance of each outcome when something that is not listed is at fault."""
        return self.outcomes(self.unlisted)

    @cached_property
    def chances_of(self) -> Mapping[Members, Chances]:
        """Set of faults -> chance of each named band or value, likewise."""
        of_classes = ComputedMapping(lambda signature: self.chances(self.row_of_classes(signature)))
        return self._by_members(of_classes)

    def _by_members(self, of_classes: Mapping[tuple[int, ...], Chances]) -> Mapping[Members, Chances]:
        class_of = self.class_of.get
        return ComputedMapping(lambda members: of_classes[_rising(map(class_of, members))])

    @cached_property
    def outcomes_away(self) -> Mapping[Members, Chances]:
        """The same for a reading taken while an intermittent symptom is away.

        Each member shows with its own chance, independently of the others.
        """
        by_touched = ComputedMapping(self._away)
        return ComputedMapping(lambda members: by_touched[self.touched(members)])

    def _away(self, touched: Members) -> Chances:
        total = [0.0] * len(self.outcomes_of[()])
        for pattern in range(1 << len(touched)):
            weight = 1.0
            for place, member in enumerate(touched):
                shows = self.shows_when_symptom_absent.get(member, 1.0)
                weight *= shows if pattern >> place & 1 else 1.0 - shows
            if weight:
                active = tuple(m for place, m in enumerate(touched) if pattern >> place & 1)
                total = [t + weight * c for t, c in zip(total, self.outcomes_of[active], strict=True)]
        return tuple(total)

    @cached_property
    def _classified(self) -> tuple[dict[int, int], list[Effect[Row]]]:
        numbers: dict[tuple[Any, int], int] = {}
        classes: list[Effect[Row]] = []
        class_of: dict[int, int] = {}
        for index, effect in self.effects.items():
            key = (effect.row, effect.masks)
            if key not in numbers:
                numbers[key] = len(classes)
                classes.append(effect)
            class_of[index] = numbers[key]
        return class_of, classes

    @property
    def class_of(self) -> Mapping[int, int]:
        """Element -> number of its class: elements of one class show the same."""
        return self._classified[0]

    @property
    def classes(self) -> Sequence[Effect[Row]]:
        """One effect for each class."""
        return self._classified[1]

    @cached_property
    def _rows(self) -> dict[Members, Row]:
        return {}

    @cached_property
    def _thinned(self) -> dict[frozenset[int], Table[Row]]:
        return {}


def _rising(classes: Iterable[int | None]) -> tuple[int, ...]:
    """Classes of some elements in order, without those of elements that have no effect."""
    found = [number for number in classes if number is not None]
    if len(found) > 1:
        found.sort()
    return tuple(found)


@dataclass(frozen=True)
class ObservationTable(Table[Chances]):
    """P(value | H) of an observation.

    combination: "largest" or "smallest" (leaky noisy-MAX towards the last or first value),
    "product_of_odds" (for observations that faults move both ways).
    """

    combination: str = "largest"

    def _combined(self, rows: Sequence[Chances]) -> Chances:
        if self.combination == "product_of_odds":
            return product_of_odds(self.healthy, rows)
        if self.combination == "smallest":
            return noisy_max(self.healthy[::-1], [row[::-1] for row in rows])[::-1]
        return noisy_max(self.healthy, rows)

    def outcomes(self, row: Chances) -> Chances:
        """Each value of the observation is an outcome."""
        return row

    def chances(self, row: Chances) -> Chances:
        """The values are what people are told."""
        return row

    def outcomes_of_repeat(self, read: Any) -> Chances:
        """Outcomes of a repeat: the same value is observed."""
        shares: Chances = read.shares
        return shares

    def _with_effects(self, effects: Mapping[int, Effect[Chances]]) -> Table[Chances]:
        return ObservationTable(
            self.healthy, effects, self.unlisted, self.shows_when_symptom_absent, self.combination
        )


_CUTS: Final = 16  # outcomes that the worth of a meter reading is worked out with, about


@dataclass(frozen=True)
class MeterTable(Table[ReadingDensity]):
    """p(reading | H) of a meter reading.

    Attributes:
        scale: the meter's own scale.
        combination: "adds", "shifts", "largest" or "smallest".
        slip: chance that a first take of the reading is none of this circuit's.
        slipped: what is read then.
        limits: the limits between the named bands, in the measurement's unit; for people.
    """

    scale: Scale = field(default_factory=lambda: Scale(1.0, 0.0))
    combination: str = "largest"
    slip: float = 0.0
    slipped: Density = field(default_factory=lambda: Density(()))
    limits: tuple[float, ...] = ()

    def _combined(self, rows: Sequence[ReadingDensity]) -> ReadingDensity:
        densities = [row for row in rows if isinstance(row, Density)]
        if self.combination == "adds":
            return summed_drops(self.scale, self._sound, densities)
        if self.combination == "shifts":
            return shifted(self._sound, densities)
        return Extreme(tuple(densities), self.combination == "largest")

    @property
    def _sound(self) -> Density:
        assert isinstance(self.healthy, Density)
        return self.healthy

    def outcomes(self, row: ReadingDensity) -> Chances:
        """Chances of the intervals between `cuts`, slips included."""
        kept, slip = 1.0 - self.slip, self.slip
        return tuple(
            [kept * c + slip * s for c, s in zip(self._intervals(row), self._slipped_outcomes, strict=True)]
        )

    def _intervals(self, row: ReadingDensity) -> Sequence[float]:
        """Chances of the intervals between `cuts`; a density's from its parts, many of which rows share."""
        if not isinstance(row, Density):
            return _between(row, self.cuts)
        total = [0.0] * (len(self.cuts) + 1)
        for weight, middle, spread, _ in row.parts:
            part = _part_between(middle, spread, self.cuts)
            total = [t + weight * c for t, c in zip(total, part, strict=True)]
        return total

    def outcomes_of_repeat(self, read: Any) -> Chances:
        """Outcomes of a repeat: nearly the same value is read."""
        return self.outcomes(Density((Component(1.0, read.position, 1.5 * OF_DEVIATION),)))

    @cached_property
    def _slipped_outcomes(self) -> Sequence[float]:
        return self._intervals(self.slipped)

    def chances(self, row: ReadingDensity) -> Chances:
        """Chance of each band between the limits."""
        return _between(row, [self.scale.position(limit) for limit in self.limits])

    @cached_property
    def cuts(self) -> tuple[float, ...]:
        """Positions that part the outcomes: around the middle and the edges of everything that is read."""
        rows = [self._sound, *(effect.row for effect in self.classes)]
        parts = {part[1:3] for row in rows if isinstance(row, Density) for part in row.parts}
        wanted = sorted({m + k * s for m, s in parts for k in (-2.5, -0.8, 0.8, 2.5) if m + k * s > 0.5})
        apart = max((wanted[-1] - wanted[0]) / (4 * _CUTS), 1.0) if wanted else 1.0
        cuts: list[float] = []
        for cut in wanted:
            if not cuts or cut - cuts[-1] >= apart:
                cuts.append(cut)
        step = -(-len(cuts) // _CUTS) or 1
        return tuple(cuts[::step])

    def outcomes_of_retake(self, read: Any, again: float) -> tuple[Mapping[Members, Chances], Chances]:
        """Chance that a second take agrees, then of each outcome if it does not, as the first was a slip.

        Args:
            read: the first take.
            again: chance that a second take is no slip where the first was one.

        Returns:
            By set of faults, and for what is not listed.
        """

        def retaken(row: ReadingDensity, fresh: Chances) -> Chances:
            differs = again * read.slip * read.slipped / max(read.weigh(row), 1e-300)
            return (1.0 - differs, *[differs * chance for chance in fresh])

        if (read, again) not in self._retaken:
            of_classes = ComputedMapping(lambda s: retaken(self.row_of_classes(s), self._outcomes[s]))
            unlisted = retaken(self.unlisted, self.outcomes_unlisted)
            self._retaken[read, again] = self._by_members(of_classes), unlisted
        return self._retaken[read, again]

    @cached_property
    def _retaken(self) -> dict[tuple[Any, float], tuple[Mapping[Members, Chances], Chances]]:
        return {}

    def _with_effects(self, effects: Mapping[int, Effect[ReadingDensity]]) -> Table[ReadingDensity]:
        shows = self.shows_when_symptom_absent
        return MeterTable(
            self.healthy, effects, self.unlisted, shows,
            self.scale, self.combination, self.slip, self.slipped, self.limits,
        )  # fmt: skip


@lru_cache(maxsize=8192)
def _part_between(middle: float, spread: float, cuts: Sequence[float]) -> Chances:
    """The same for a part of a density; tables of one reading under different facts share most."""
    return _between(Density((Component(1.0, middle, spread),)), cuts)


def _between(row: ReadingDensity, cuts: Sequence[float]) -> Chances:
    reached = [0.0, *row.all_below(cuts), 1.0]
    return tuple([max(high - low, 0.0) for low, high in pairwise(reached)])
