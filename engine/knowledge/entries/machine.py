"""The machine and its circuit: equipment, test points, segments."""

from __future__ import annotations

from typing import Final

from crankpath.engine.knowledge.building.fields import record, says
from crankpath.engine.knowledge.building.lists import ListOf, pair
from crankpath.engine.knowledge.building.shapes import (
    CHOICE,
    CONDITION,
    FLAG,
    NUMBER,
    SCALAR,
    TEXT,
    Word,
    short_text,
)
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.values import Origin

_CIRCUITS: Final = ("main", "control", "battery")
_SEGMENT_KINDS: Final = (
    "joint", "cable", "switch", "contacts", "motor", "battery", "wire", "coil", "mechanical",
)  # fmt: skip


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


@record
class Point:
    """A test point: somewhere a meter lead can touch."""

    id: str
    label: str = says("its name", TEXT, own=True)
    short: str = says("a name of at most 12 characters, for drawings", short_text(12), absent="", own=True)
    touch: str = says("exactly where the lead goes", TEXT, absent="")
    origin: Origin


@record
class Segment:
    """What lies between two neighbouring test points; the place a fault can have."""

    id: str
    label: str = says("its name", TEXT, own=True)
    ends: tuple[str, str] = says("the two points it lies between", pair("points"))
    circuit: str = says("the circuit it belongs to", Word(_CIRCUITS))
    kind: str = says("what it is", Word(_SEGMENT_KINDS))
    only: Condition | None = says("the machines that have it", CONDITION, absent=None)
    origin: Origin
