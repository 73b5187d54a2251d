"""A small invented machine to draw: a relay, and a disconnect switch that may be there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import pytest

from crankpath.engine.knowledge.condition import Facts, Is
from crankpath.engine.knowledge.entries.machine import BRANCH, LOOP, SOURCE
from crankpath.engine.knowledge.records import (
    CircuitPart,
    Knowledge,
    Measurement,
    Origin,
    Point,
    Segment,
    SegmentKind,
)
from crankpath.engine.machine.circuit import Circuit
from crankpath.shell.outlets.drawing.picture import Picture, picture

HERE = Origin("circuit.yaml", 1, 1)
NAMES = {
    "positive": "B+ post",
    "lug": "pos lug",
    "switch_in": "disc. in",
    "switch_out": "disc. out",
    "stud": "BAT stud",
    "case": "case",
    "negative": "B- post",
    "key_out": "key start",
    "terminal": "S term",
    "coil_out": "coil -",
}
WITH, WITHOUT = Is("disconnect", (True,)), Is("disconnect", (False,))
SEGMENTS = (
    ("battery", "battery bank", "positive", "negative", "battery", "battery", None),
    ("cable", "positive cable", "positive", "lug", "main", "cable", WITHOUT),
    ("cable_in", "cable up to the disconnect switch", "positive", "switch_in", "main", "cable", WITH),
    ("switch", "contacts", "switch_in", "switch_out", "main", "switch", WITH),
    ("cable_out", "cable from there on", "switch_out", "lug", "main", "cable", WITH),
    ("stud_joint", "joint of lug and stud", "lug", "stud", "main", "joint", None),
    ("motor", "starter motor", "stud", "case", "main", "motor", None),
    ("ground", "ground cable <2 m & 50 mm²>", "case", "negative", "main", "cable", None),
    ("key", "key switch", "stud", "key_out", "control", "switch", None),
    ("coil", "relay coil", "key_out", "coil_out", "control", "coil", None),
    ("coil_ground", "coil ground", "coil_out", "negative", "control", "wire", None),
    ("contacts", "relay contacts", "stud", "terminal", "control", "contacts", None),
    ("windings", "solenoid windings", "terminal", "case", "control", "coil", None),
)


PARTS = {"main": LOOP, "battery": SOURCE, "control": BRANCH}
DRAWN = {
    "joint": "plates", "cable": "line", "wire": "line", "mechanical": "dashes", "switch": "gap",
    "contacts": "gap", "coil": "box", "motor": "circle", "battery": "cells",
}  # fmt: skip


def knowledge(labels: Mapping[str, str] | None = None) -> Knowledge:
    fields: dict[str, Any] = dict.fromkeys(Knowledge.__dataclass_fields__)
    said = {name: label for name, label, *_ in SEGMENTS} | dict(labels or {})
    fields["points"] = {name: Point(name, short, short, "", HERE) for name, short in NAMES.items()}
    fields["segments"] = {
        name: Segment(name, said[name], (a, b), circuit, kind, only, HERE)
        for name, _, a, b, circuit, kind, only in SEGMENTS
    }
    fields["circuits"] = {id_: CircuitPart(id_, id_, part, HERE) for id_, part in PARTS.items()}
    fields["segment_kinds"] = {
        id_: SegmentKind(id_, id_, drawn, "M" if id_ == "motor" else "", drawn in ("circle", "box"), HERE)
        for id_, drawn in DRAWN.items()
    }
    return Knowledge(**fields)


def measurement(red: str, black: str) -> Measurement:
    fields: dict[str, Any] = dict.fromkeys(Measurement.__dataclass_fields__)
    return Measurement(**(fields | {"between": (red, black), "covers": ((red, black),), "leaves_out": ()}))


def drawn(
    leads: tuple[str, str] | None = None,
    values: Mapping[str, str] | None = None,
    *,
    disconnect: bool = False,
    labels: Mapping[str, str] | None = None,
) -> Picture:
    kb = knowledge(labels)
    circuit = Circuit(kb, Facts({"disconnect": disconnect}))
    return picture(kb, circuit, measurement(*leads) if leads else None, values)


@pytest.fixture
def draw() -> Callable[..., Picture]:
    """Makes a picture: draw(leads, values, disconnect=..., labels=...)."""
    return drawn
