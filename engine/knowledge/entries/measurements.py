"""Measurements and observations, their limits and what they read on a healthy circuit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot, isfinite
from typing import Any, Final

from crankpath.engine.knowledge.building.fields import OneOrMany, RecordOf, many, record, says
from crankpath.engine.knowledge.building.limits import Limits, TemplateSets
from crankpath.engine.knowledge.building.lists import ListOf, MapOf, pair, refs
from crankpath.engine.knowledge.building.shapes import (
    CHANCE,
    CONDITION,
    FLAG,
    FORMULA,
    ID,
    NOT_NEGATIVE,
    PARAMETER,
    QUANTITY,
    TEXT,
    Ref,
    Schema,
    SchemaBuilder,
    Word,
    short_text,
)
from crankpath.engine.knowledge.building.spot import Spot
from crankpath.engine.knowledge.chance_words import SLACK
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.values import Origin, Quantity
from crankpath.engine.knowledge.formula import Formula

SYMPTOM_KIND: Final = "symptom"
"""Kind of the measurement that is the complaint itself."""

HISTORY_KIND: Final = "history"
"""Kind of the measurement that tells how often the complaint shows."""


@record
class LimitSet:
    """The upper limits between neighbouring bands, under a condition.

    ``at`` has one entry fewer than the measurement has bands, ascending, in its unit.
    """

    given: Condition | None = says(
        "when it counts; the last one always holds", CONDITION, absent=None
    )
    at: tuple[Quantity, ...] = says(
        "the limits, ascending: one fewer than bands", ListOf(QUANTITY, 1, strict=True)
    )
    sources: tuple[str, ...] = says("where they come from", refs("references"), absent=(), key="source")
    because: str = says("why these", TEXT, absent="")
    origin: Origin
    times: Formula | None = says("a formula that every limit is multiplied by", FORMULA, default=None)


@record
class TemplateUse:
    """Limit sets taken from a template."""

    template: str = says("the template", Ref("limit_templates"), key="use")
    values: Mapping[str, str | float] = says("parameter to value", MapOf(PARAMETER), absent={}, key="with")
    sources: tuple[str, ...] = says("further sources", refs("references"), absent=(), key="source")
    because: str = says("a further reason", TEXT, absent="")


@record
class LimitTemplate:
    """Limit sets that several measurements have in common."""

    id: str
    parameters: Mapping[str, str] = says("parameter to what it stands for", MapOf(TEXT), absent={})
    sets: list[Mapping[str, object]] = says(
        "limit sets, with `$parameter` where its value goes, or uses of other templates", TemplateSets()
    )
    origin: Origin


TWO_QUANTITIES: Final = ListOf(QUANTITY, 2, 2, strict=True)


@record
class Range:
    """What a meter reads: nine readings in ten between two quantities, and what else happens."""

    between: tuple[Quantity, Quantity] | None = says(
        "nine readings in ten lie between these two, the lower first; a plain number is multiplied by the "
        "measurement's `scale`, a formula stands as it is",
        TWO_QUANTITIES, default=None,
    )  # fmt: skip
    nothing: float = says("how often nothing is read", CHANCE, default=0.0)
    whole: float = says("how often the whole supply is read, or an open circuit", CHANCE, default=0.0)
    sound: float = says("how often it reads as on a sound circuit", CHANCE, default=0.0)

    @property
    def low(self) -> Quantity | None:
        """The lower end; None where only shares are stated."""
        return self.between[0] if self.between else None

    @property
    def high(self) -> Quantity | None:
        """The upper end; None where only shares are stated."""
        return self.between[1] if self.between else None


@record
class ConditionalRange:
    """A range under a condition, as what the whole supply reads."""

    given: Condition | None = says("when it counts; the last one always holds", CONDITION, absent=None)
    between: tuple[Quantity, Quantity] = says("the two ends, the lower first", TWO_QUANTITIES)
    origin: Origin

    @property
    def reads(self) -> Range:
        """The range."""
        return Range(self.between)


@dataclass(frozen=True, slots=True)
class Unread:
    """What is read, as it is written; whether it is a range or chances hangs on the measurement's unit."""

    value: Any
    at: Spot

    def as_range(self) -> Range:
        """A meter's range; raises `InvalidValue` once the problems are noted."""
        found: Range = RecordOf(Range).read(self.value, self.at)
        if found.between is None and found.nothing + found.whole + found.sound < 1.0 - SLACK:
            self.at.refuse("it does not say what is read", "Write 'between: [low, high]', in its unit")
        return found

    def as_chances(self) -> Mapping[str, float]:
        """Chances of the values of an observation; raises `InvalidValue` once the problems are noted."""
        return CHANCES.read(self.value, self.at)


CHANCES: Final = MapOf(CHANCE, "bands", 1)


@dataclass(frozen=True, slots=True)
class WhatIsRead:
    """A range of a meter reading, or value to chance of an observation; the rest is spread."""

    def read(self, value: Any, at: Spot) -> Unread:
        if not isinstance(value, dict):
            at.unfit(value, "a mapping: {between: [low, high]}, or {value: chance} of an observation")
        return Unread(value, at)

    def schema(self, builder: SchemaBuilder) -> Schema:
        return {"anyOf": [RecordOf(Range).schema(builder), CHANCES.schema(builder)]}


READS: Final = WhatIsRead()


@record
class HealthyReading:
    """What is read on a circuit without any listed fault, under a condition.

    reads: the range of a meter reading; or the chance of each value of an observation, aligned with
    its values and summing to 1.
    """

    given: Condition | None = says("when it counts; the last one always holds", CONDITION, absent=None)
    reads: tuple[float, ...] | Range = says(
        "a range, `between: [low, high]`; of an observation value to chance, the rest spread", READS
    )
    origin: Origin


@record
class MeterError:
    """How far a reading strays, of meter and repeat: one standard deviation."""

    relative: float = says("as a fraction of the reading", NOT_NEGATIVE, absent=0.0)
    absolute: float = says("in the unit", NOT_NEGATIVE, absent=0.0)

    def at(self, value: float) -> float:
        """One standard deviation of a single reading of this value, in its unit."""
        return hypot(self.relative * abs(value), self.absolute)

    def agree(self, one: float, other: float, spread: float = 0.0) -> bool:
        """True where two readings differ by no more than their errors allow, twice that of the difference.

        spread: standard deviation that the two have together besides, by ranges that were typed.
        """
        error = hypot(self.at(one), self.at(other), spread)
        return one == other or (isfinite(error) and abs(one - other) <= 2.0 * error)


@record
class Measurement:
    """Something a person can observe or read, and how.

    bands: names between the limits, for people; of an observation its values in order of dominance.
    """

    id: str
    label: str = says("its name", TEXT, own=True)
    short: str = says("a name of at most 14 characters, for tables", short_text(14), absent="", own=True)
    aliases: tuple[str, ...] = says("what people type for it", ListOf(TEXT), absent=(), own=True)
    asks: str = says("the question in one line", TEXT, goes_with=("between",))
    group: str = says("the group it is listed in", TEXT)
    kinds: tuple[str, ...] = says("groups that rules can name", ListOf(ID), absent=())
    unit: str | None = says("V, A, ohm ...; without one it is an observation", TEXT, absent=None)
    bands: tuple[str, ...] = says(
        "the ordered bands of a reading, or the values that can be observed", ListOf(ID, 2, strict=True),
        also="values",
    )  # fmt: skip
    band_labels: Mapping[str, str] = says(
        "bands in words", MapOf(TEXT, "bands"), absent={}, goes_with=("bands", "values")
    )
    combination: str = says(
        "what several faults read together: drops along one path add, what moves both ways shifts; else the "
        "largest or the smallest; of an observation also the product of odds",
        Word(("adds", "shifts", "largest", "smallest", "product_of_odds")),
        absent="largest",
    )
    scale: Quantity = says("what plain numbers of ranges are multiplied by", QUANTITY, absent=1.0)
    whole: tuple[ConditionalRange, ...] = says(
        "what the whole supply reads here (in ohm: an open circuit); the first that holds is used",
        many(ConditionalRange), absent=(),
    )  # fmt: skip
    limits: tuple[LimitSet, ...] = says(
        "upper limits between the bands; the first set whose `given` holds is used",
        Limits(LimitSet, TemplateUse), absent=(), goes_with=("bands",),
    )  # fmt: skip
    healthy: tuple[HealthyReading, ...] = says(
        "what is read with no fault: a range (or chances of values), or a list of `given` and `reads`",
        OneOrMany(HealthyReading, "reads"), goes_with=("bands", "values"),
    )  # fmt: skip
    between: tuple[str, str] | None = says(
        "the points of the two leads, red first", pair("points"), absent=None
    )
    covers: tuple[tuple[str, str], ...] | None = says(
        "pairs of points it answers for, if not those of `between`", ListOf(pair("points"), strict=True),
        absent=None, goes_with=("between",),
    )  # fmt: skip
    leaves_out: tuple[str, ...] = says(
        "segments inside that it does not answer for", refs("segments"), absent=(), goes_with=("between",)
    )
    signed: bool = says("`true` if the sign of the reading means something", FLAG, absent=False)
    least: Quantity | None = says("a reading below this is impossible", QUANTITY, absent=None)
    most: Quantity | None = says("a reading above this is impossible", QUANTITY, absent=None)
    doubtful_above: Quantity | None = says("asked again above, if no unit was typed", QUANTITY, absent=None)
    error: MeterError = says(
        "one standard deviation of meter and repeat: `relative`, `absolute`", RecordOf(MeterError),
        absent=MeterError(0.0, 0.0),
    )  # fmt: skip
    state: str = says("what the machine does during the reading", Ref("states"))
    setups: tuple[str, ...] = says("the set-ups needed", refs("setups"), absent=())
    tools: tuple[str, ...] = says("the tools needed", refs("tools"), absent=())
    minutes: float = says("minutes it takes", NOT_NEGATIVE)
    only: Condition | None = says("the machines that have it", CONDITION, absent=None)
    parallel: str | None = says(
        "the fact that counts what lies side by side and is read one by one", Ref("equipment"), absent=None
    )
    leads: str = says("where the leads go", TEXT, absent="", goes_with=("between",))
    meter: str = says("how the meter is set", TEXT, absent="")
    steps: tuple[str, ...] = says("what to do", ListOf(TEXT), absent=())
    misleads: str = says("what can mislead you", TEXT, absent="")
    cautions: tuple[str, ...] = says("the cautions that apply", refs("cautions"), absent=())
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin
    takes: str | None = says(
        "which value of a try in a recording it is (speed: by the ripple)",
        Word(("settled", "lowest", "highest", "first_peak", "speed")), default=None,
    )  # fmt: skip
    of_min_max: str | None = says(
        "which of a meter's minimum and maximum it is, if both are given; otherwise a value between",
        Word(("lowest", "highest")), default=None,
    )  # fmt: skip
    does: tuple[str, ...] = says("the hazards it belongs to", refs("hazards"), default=())
    finer: Mapping[str, str] = says(
        "values told apart inside a band, each with the band it counts as", MapOf(ID),
        default={},
    )  # fmt: skip
    instead_of: tuple[str, ...] = says(
        "tools in whose place it is taken: asked only where one of them is not at hand", refs("tools"),
        default=(),
    )  # fmt: skip
    finer_as: str | None = says(
        "the observation that such a value is a reading of as well", Ref("measurements"), default=None
    )

    @property
    def choices(self) -> tuple[str, ...]:
        """Every value that can be observed: the bands, each followed by what is told apart in it."""
        apart = {band: [value for value, of in self.finer.items() if of == band] for band in self.bands}
        return tuple(value for band in self.bands for value in (band, *apart[band]))

    @property
    def numeric(self) -> bool:
        """True for a reading in a unit, False for an observation."""
        return self.unit is not None

    @property
    def worsens(self) -> str:
        """Which way faults move it: "up", "down" or "both"."""
        ways = {"adds": "up", "largest": "up", "smallest": "down"}
        return ways.get(self.combination, "both")

    @property
    def spans(self) -> tuple[tuple[str, str], ...]:
        """Pieces of circuit that the reading answers for, each by its two ends."""
        if self.covers is not None:
            return self.covers
        return (self.between,) if self.between else ()
