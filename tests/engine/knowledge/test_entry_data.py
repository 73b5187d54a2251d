"""Entries as plain data: what is written, without where."""

from __future__ import annotations

import dataclasses

import pytest
import yaml

from crankpath.engine.knowledge.building.conditions import read_condition
from crankpath.engine.knowledge.building.known_names import Names
from crankpath.engine.knowledge.building.spot import Context, Spot
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.documents import Place
from crankpath.engine.knowledge.entry_data import condition_data, condition_words, stated, yaml_words
from crankpath.engine.knowledge.folders import SECTIONS
from crankpath.engine.knowledge.problems import ProblemCollector
from crankpath.engine.knowledge.records import Knowledge, Origin

NO_NAMES = Names.of({section: {} for section in SECTIONS})


def condition_of(text: str) -> Condition:
    """The condition as read; that its names exist is not looked at."""
    context = Context(NO_NAMES, ProblemCollector(), {}, "", "f", "")
    return read_condition(yaml.safe_load(text), Spot(context, "", Place(1, 1, None), 1, 1))


def conditions(kb: Knowledge) -> list[Condition]:
    rules = [c for r in kb.rules.values() for c in (r.given, r.unless)]
    facts = [c for f in kb.facts.values() for c in (f.when, f.unless)]
    limits = [limit.given for m in kb.measurements.values() for limit in m.limits]
    return [c for c in (*rules, *facts, *limits) if c is not None]


def test_a_condition_comes_out_as_the_mapping_that_is_read_as_the_same_condition(kb: Knowledge) -> None:
    for condition in conditions(kb):
        written = yaml.safe_dump(condition_data(condition), sort_keys=False)
        assert condition_of(written) == condition, written


def test_where_an_entry_stands_is_no_part_of_what_it_says(kb: Knowledge) -> None:
    fault = kb.faults["positive_cable"]
    moved = dataclasses.replace(fault, origin=Origin("other.yaml", 7, 3))
    shares = tuple(dataclasses.replace(s, origin=Origin("other.yaml", 9, 3)) for s in fault.shares)
    assert stated(dataclasses.replace(moved, shares=shares)) == stated(fault)


def test_fields_that_say_nothing_are_left_out(kb: Knowledge) -> None:
    said = stated(kb.rules["slight_resistance_shows_across"])
    assert said["faults"] == {"kinds": ["main_resistance"]}
    assert not {"given", "unless", "id", "origin"} & set(said)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{duty: [heavy, light]}", "duty is heavy or light"),
        ("{crank_current: known}", "crank_current is known"),
        ("{any: [{duty: heavy}, {when_wet: true}]}", "(duty is heavy or when_wet is true)"),
        ("{none: [{main_current: absent}]}", "it is not known that main_current is absent"),
        ("{air_temperature: {above: 0, below: 10.5}}",
         "air_temperature is above 0 and air_temperature is below 10.5"),
    ],
)  # fmt: skip
def test_a_condition_is_told_as_a_person_says_it(text: str, words: str) -> None:
    assert condition_words(condition_of(text)) == words


def test_numbers_are_told_without_the_dust_of_floats() -> None:
    assert yaml_words([0.1 + 0.2, 3.0, False]) == "[0.3, 3, false]"
