"""The machine and its circuit: equipment, test points, segments."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from crankpath.engine.knowledge.building.fields import RecordOf, record, says
from crankpath.engine.knowledge.building.lists import ListOf, MapOf, pair
from crankpath.engine.knowledge.building.shapes import (
    CHOICE,
    CONDITION,
    FLAG,
    ID,
    NOT_NEGATIVE,
    NUMBER,
    RANK,
    SCALAR,
    TEXT,
    Ref,
    Word,
    short_text,
)
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.values import Origin

LOOP, SOURCE, BRANCH = CIRCUIT_PARTS = ("loop", "source", "branch")
SIGNS: Final = ("line", "dashes", "plates", "gap", "box", "circle", "cells")
"""How a segment can be drawn: a bare line, a broken one, two strokes across, an open switch, ..."""


@record
class BringOn:
    """How a fault that hides and shows under a condition is made to show."""

    how: str = says("what to do", TEXT)
    moves: str = says("what it makes show, in a few words", TEXT)
    danger: int = says("1 for the safest of the ways, rising", RANK)
    minutes: float = says("minutes that one round of it takes", NOT_NEGATIVE)
    from_the_seat: bool = says("`true` if the operator can do it alone", FLAG, absent=False)
    mind: str = says("what can hurt or spoil", TEXT, absent="")


@record
class EquipmentFact:
    """A property of the machine that is known, or left unknown, before any reading."""

    id: str
    label: str = says("its name", TEXT, own=True)
    ask: str = says("the question that asks for it", TEXT, absent="")
    values: tuple[str | int | bool, ...] = says(
        "the values it can have; without them it is a number in `unit`",
        ListOf(CHOICE, 1, strict=True),
        absent=(),
    )
    unit: str | None = says("the unit of the number", TEXT, absent=None)
    default: str | int | float | bool | None = says("its value unless told otherwise", SCALAR, absent=None)
    optional: bool = says("`true` if it may stay unknown", FLAG, absent=False)
    least: float | None = says("the lowest number it can be", NUMBER, absent=None)
    most: float | None = says("the highest number it can be", NUMBER, absent=None)
    origin: Origin
    said: Mapping[str, str] = says(
        "words that people say of it, each with the word it stands for; `\"\"` for a word that tells nothing",
        MapOf(TEXT), default={},
    )  # fmt: skip
    said_alone: bool = says("`true` if a value says it all without the name", FLAG, default=False)
    of_the_day: bool = says("`true` if it is not kept for the machine's next case", FLAG, default=False)
    bring_on: BringOn | None = says(
        "how a fault that shows then is brought on", RecordOf(BringOn), default=None
    )
    runs: tuple[str, ...] = says(
        "the runs of cable that it tells gauge and length of; with an id `cables` that gives the facts "
        "`RUN_cables`, how many lie side by side, and `RUN_cable_resistance`",
        ListOf(ID), default=(),
    )  # fmt: skip


@record
class Point:
    """A test point: somewhere a meter lead can touch."""

    id: str
    label: str = says("its name", TEXT, own=True)
    short: str = says("a name of at most 12 characters, for drawings", short_text(12), absent="", own=True)
    touch: str = says("exactly where the lead goes", TEXT, absent="")
    origin: Origin


@record
class CircuitPart:
    """One of the circuits that segments belong to."""

    id: str
    label: str = says("its name", TEXT, own=True)
    part: str = says(
        "what it is: the loop that readings follow first, the source that no reading passes through, or a "
        "branch beside them", Word(CIRCUIT_PARTS), absent=BRANCH,
    )  # fmt: skip
    origin: Origin


@record
class SegmentKind:
    """A kind of segment: how it is drawn, and whether current does its work there."""

    id: str
    label: str = says("its name", TEXT, own=True)
    drawn: str = says("how it is drawn", Word(SIGNS), absent="line")
    sign: str = says("a letter drawn in it", TEXT, absent="")
    load: bool = says(
        "`true` for what the current is for; readings go round it where they can", FLAG, absent=False
    )
    origin: Origin


@record
class Segment:
    """What lies between two neighbouring test points; the place a fault can have."""

    id: str
    label: str = says("its name", TEXT, own=True)
    ends: tuple[str, str] = says("the two points it lies between", pair("points"))
    circuit: str = says("the circuit it belongs to", Ref("circuits"))
    kind: str = says("what it is", Ref("segment_kinds"))
    only: Condition | None = says("the machines that have it", CONDITION, absent=None)
    origin: Origin
