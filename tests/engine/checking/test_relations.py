"""Who speaks of whom in a knowledge base."""

from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.cases.casefile import load_case
from crankpath.engine.checking.relations import Relations, case_keys
from crankpath.engine.knowledge.records import Knowledge


@pytest.fixture(scope="module")
def relations(kb: Knowledge) -> Relations:
    return Relations(kb)


def test_a_rule_on_kinds_bears_on_what_the_circuit_says_and_on_nothing_else(relations: Relations) -> None:
    bearings = relations.bearing_on("rules/open_joint_takes_it_all")
    pairs = {(b.fault.id, b.measurement.id) for b in bearings}
    assert ("positive_cable", "positive_leg_drop") in pairs
    assert ("ground_strap", "ground_strap_drop") in pairs  # only on machines grounded through the frame
    assert ("positive_cable", "negative_leg_drop") not in pairs
    assert {b.degree for b in bearings} == {"open"}


def test_every_rule_in_force_in_a_case_bears_on_the_pair_it_speaks_of(relations: Relations) -> None:
    known = {(b.rule.id, b.fault.id, b.degree, b.measurement.id) for b in relations.bearings}
    model = Case(relations.kb, {"ground_path": "frame", "disconnect_switch": "negative"}).assessment.model
    for name in model.measurements:
        for index, rules in model.candidates(name).items():
            element = model.elements[index]
            assert {(r.id, element.fault, element.degree, name) for r in rules} <= known


def test_what_an_entry_names_names_it_back(relations: Relations) -> None:
    for key in relations.keys:
        for field, target in relations.names(key):
            assert (field, key) in relations.named_by[target]
    assert ("repair", "faults/positive_cable") in relations.named_by["repairs/replace_positive_cable"]
    assert ("proof", "faults/positive_cable") in relations.named_by["measurements/positive_cable_drop"]


def test_the_facts_that_a_condition_or_a_formula_looks_at_are_named(relations: Relations) -> None:
    named = {target for _, target in relations.names("measurements/positive_leg_drop")}
    assert {"equipment/duty", "equipment/system_voltage", "measurements/crank_current"} <= named


def test_an_id_finds_every_entry_called_so_and_a_key_finds_one(relations: Relations) -> None:
    assert relations.keys_called("positive_cable") == ("segments/positive_cable", "faults/positive_cable")
    assert relations.keys_called("faults/positive_cable") == ("faults/positive_cable",)
    assert relations.keys_called("nothing_of_the_kind") == ()


def test_a_part_that_some_machines_have_is_looked_at_on_one_that_has_it(relations: Relations) -> None:
    model = relations.machine_with("faults/ground_strap")
    assert model is not None
    assert "ground_strap" in model.elements_of


def test_a_case_rests_on_its_readings_and_on_the_rules_behind_what_must_come_out(kb: Knowledge) -> None:
    case = load_case(
        "readings: {crank_behaviour: slow, positive_post_drop: 0.9 V}\nexpect: {first: positive_post_joint}\n"
    )
    found = case_keys(kb, case)
    assert {"measurements/positive_post_drop", "faults/positive_post_joint"} <= found
    assert "rules/slight_resistance_shows_across" in found
    assert "rules/slight_resistance_shows_across" not in case_keys(kb, case, rules=False)


def test_asked_of_one_entry_the_bearings_are_those_of_all(small: Knowledge) -> None:
    every = Relations(small)
    keys = [key for key in every.keys if key.split("/")[0] in ("faults", "measurements", "rules", "repairs")]
    assert sum(len(every.bearing_on(key)) for key in keys) > len(keys)
    for key in keys:
        assert Relations(small, key).bearing_on(key) == every.bearing_on(key)
