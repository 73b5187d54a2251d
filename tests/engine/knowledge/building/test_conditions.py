"""Conditions as written become objects that answer yes, no or unknown."""

from __future__ import annotations

import pytest

from crankpath.engine.knowledge.building.conditions import read_condition
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.building.spot import Context, Spot
from crankpath.engine.knowledge.condition import All, Any, Compares, Condition, Is, Known, NoneOf
from crankpath.engine.knowledge.folders import SECTIONS
from crankpath.engine.knowledge.problems import ProblemCollector
from crankpath.engine.knowledge.yaml_source import read_yaml

NAMES = Names(
    sections={section: {} for section in SECTIONS},
    scale={},
    values={"system_voltage": (12, 24), "start_relay": (True, False), "air_temperature": ()},
    bands={"crank_behaviour": ("normal", "silent"), "leg": ("low", "high")},
    fault_kinds=frozenset(),
    measurement_kinds={},
    computed=frozenset(),
    facts=frozenset(
        {"system_voltage", "start_relay", "air_temperature", "crank_behaviour", "leg", "main_current"}
    ),
)


def read(text: str) -> tuple[Condition, list[str]]:
    document, slips = read_yaml(text, "f"), ProblemCollector()
    at = Spot(Context(NAMES, slips, {}, "", "f", ""), "when", document.place, 1, 1)
    condition = read_condition(document.data, at)
    return condition, [f"{p.origin.line}:{p.origin.column} {p.message}. {p.advice}".strip() for p in slips]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("system_voltage: 12", Is("system_voltage", (12,))),
        ("system_voltage: [12, 24]", Is("system_voltage", (12, 24))),
        ("start_relay: true", Is("start_relay", (True,))),
        ("crank_behaviour: [silent]", Is("crank_behaviour", ("silent",))),
        ("leg: known", Known("leg", True)),
        ("leg: unknown", Known("leg", False)),
        ("air_temperature: {below: 0}", Compares("air_temperature", "below", 0.0)),
        (
            "leg: {above: 1, at_most: 2}",
            All((Compares("leg", "above", 1.0), Compares("leg", "at_most", 2.0))),
        ),
        ("{leg: low, system_voltage: 24}", All((Is("leg", ("low",)), Is("system_voltage", (24,))))),
        ("any: [{leg: low}, {leg: unknown}]", Any((Is("leg", ("low",)), Known("leg", False)))),
        ("none: [{main_current: absent}]", NoneOf((Is("main_current", ("absent",)),))),
    ],
)
def test_what_is_written_is_what_is_meant(text: str, meant: Condition) -> None:
    assert read(text) == (meant, [])


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("legg: 12", "1:1 when legg: 'legg' is no equipment, reading or fact. Did you mean leg?"),
        (
            "system_voltage: 13",
            "1:17 when system_voltage: '13' is no value of system_voltage. Known here: 12, 24.",
        ),
        ("start_relay: 1", "1:14 when start_relay: '1' is no value of start_relay. Known here: true, false."),
        (
            "crank_behaviour: [normal, silnt]",
            "1:27 when crank_behaviour 2: 'silnt' is no band of crank_behaviour. Did you mean silent?",
        ),
        ("leg: {bellow: 1}", "1:7 when leg bellow: 'bellow' is no comparison. Did you mean below?"),
        (
            "leg: {below: low}",
            "1:14 when leg below: 'low' is no number to compare with. Write a plain decimal number",
        ),
        ("leg: {}", "1:6 when leg: an empty comparison says nothing. Write {above: 5}, for example"),
        ("leg: []", "1:6 when leg: an empty list holds nothing to compare with. Name at least one value"),
        ("leg: null", "1:6 when leg: nothing is written to compare with. Write a word or a number"),
        (
            "any: {leg: low}",
            "1:6 when any: what stands here is a list of conditions. Write any: [{a: b}, {c: d}]",
        ),
        ("any: [{leg: glowing}]", "1:13 when any 1 leg: 'glowing' is no band of leg. Known here: low, high."),
        ("[leg]", "1:1 when: a condition is a mapping from names to what they must be. Write {name: value}"),
    ],
)
def test_a_slip_is_told_at_its_place(text: str, sentence: str) -> None:
    assert read(text)[1] == [sentence]
