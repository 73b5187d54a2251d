"""A knowledge base applied to one machine."""

from __future__ import annotations

from dataclasses import replace

import pytest

from crankpath.engine.bayes.hypotheses import RepairState
from crankpath.engine.cases.case import Case
from crankpath.engine.errors import KnowledgeError
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.machine.equipment import complete


def model_of(kb: Knowledge, **equipment: object) -> Model:
    return Model(kb, complete(kb, equipment))


def test_cases_of_one_machine_share_its_model_and_others_do_not(kb: Knowledge) -> None:
    one, other = (Case(kb, {"system_voltage": volts}).assessment.model for volts in (12, 24))
    assert Case(kb, {"system_voltage": 12}).assessment.model is one
    assert one is not other
    for litres in range(1, 20):
        Case(kb, {"engine_litres": litres})
    assert Case(kb, {"system_voltage": 12}).assessment.model is not one  # only a few are kept


@pytest.mark.parametrize(
    ("fact", "value", "part", "reading"),
    [
        ("ground_path", "frame", "ground_strap", "ground_strap_drop"),
        ("disconnect_switch", "positive", "disconnect_contacts", "disconnect_drop"),
        ("start_relay", True, "relay_coil", "relay_coil_voltage"),
    ],
)
def test_a_machine_has_the_faults_and_readings_of_the_parts_it_has(
    kb: Knowledge, fact: str, value: object, part: str, reading: str
) -> None:
    without = {"ground_path": "direct", "disconnect_switch": "none", "start_relay": False}
    has, lacks = model_of(kb, **{**without, fact: value}), model_of(kb, **without)
    assert part in has.faults
    assert part not in lacks.faults
    assert reading in has.measurements
    assert reading not in lacks.measurements


def test_elements_are_the_faults_by_degree_with_their_share(kb: Knowledge) -> None:
    model = model_of(kb)
    for fault, indexes in model.elements_of.items():
        chance = sum(model.elements[i].chance for i in indexes)
        assert chance == pytest.approx(model.chance_of(kb.faults[fault]))
        assert {model.elements[i].degree for i in indexes} <= set(kb.faults[fault].degrees)


def test_shares_of_a_plain_machine_sum_to_about_one(kb: Knowledge) -> None:
    model = model_of(kb)
    scale = kb.settings["co_occurrence_scale"]
    whole = sum(model.chance_of(fault) for fault in model.faults.values()) / scale
    assert whole == pytest.approx(1.0, abs=0.25)


def test_a_joint_shows_across_itself_and_not_beside_itself(kb: Knowledge) -> None:
    model = model_of(kb)
    (slight, *_) = (
        i for i in model.elements_of["positive_post_joint"] if model.elements[i].degree == "slight"
    )
    across = model.rule_for("positive_leg_drop", slight, model.known)
    assert across is not None
    assert across.where == "across"
    beside = model.rule_for("negative_leg_drop", slight, model.known)
    assert beside is None or beside.where != "across"


def test_a_disconnect_shows_in_the_leg_it_sits_in(kb: Knowledge) -> None:
    for side, other in (("positive", "negative"), ("negative", "positive")):
        model = model_of(kb, disconnect_switch=side)
        index = model.elements_of["disconnect_contacts"][0]
        here = model.rule_for(f"{side}_leg_drop", index, model.known)
        there = model.rule_for(f"{other}_leg_drop", index, model.known)
        assert here is not None
        assert here.where == "across"
        assert there is None or there.where != "across"


def test_the_narrowest_rule_wins_and_its_condition_must_be_known(kb: Knowledge) -> None:
    model = model_of(kb)
    (opened,) = (i for i in model.elements_of["positive_cable"] if model.elements[i].degree == "open")
    plain = model.rule_for("positive_leg_drop", opened, model.known)
    dead = Facts({**model.equipment, "control_energised": "dead", "crank_behaviour": "silent"},
                 {"crank_behaviour": "silent"})  # fmt: skip
    narrow = model.rule_for("positive_leg_drop", opened, dead)
    assert plain is not None
    assert narrow is not None
    assert (plain.id, narrow.id) == ("open_joint_takes_it_all", "open_place_on_a_dead_control_side")


def test_every_table_is_a_distribution_for_every_element(kb: Knowledge) -> None:
    model = model_of(kb, ground_path="frame", disconnect_switch="negative")
    for name in model.measurements:
        table = model.table(name, model.known)
        for row in (table.healthy, table.unlisted, *(effect.row for effect in table.effects.values())):
            for chances in (table.outcomes(row), table.chances(row)):
                assert sum(chances) == pytest.approx(1.0, abs=1e-6)
                assert min(chances) >= 0.0


def test_one_table_serves_all_facts_that_change_nothing_in_it(kb: Knowledge) -> None:
    model = model_of(kb)
    other = Facts({**model.equipment, "some_other_fact": 1}, {})
    assert model.table("positive_post_drop", model.known) is model.table("positive_post_drop", other)


def test_what_is_not_listed_shows_the_complaint_and_blends_the_rest(kb: Knowledge) -> None:
    model = model_of(kb)
    complaint = model.table("crank_behaviour", model.known)
    assert complaint.unlisted[0] == min(complaint.unlisted)
    drop = model.table("positive_post_drop", model.known)
    at = drop.scale.position(0.04)
    assert 0.5 * drop.healthy.at(at) < drop.unlisted.at(at) < drop.healthy.at(at)
    assert drop.unlisted.at(drop.scale.position(4.0)) > 100.0 * drop.healthy.at(drop.scale.position(4.0))


def test_a_slip_reads_what_machines_with_this_complaint_read(kb: Knowledge) -> None:
    model = model_of(kb)
    slow = Facts({**model.equipment, "crank_behaviour": "slow"}, {"crank_behaviour": "slow"})
    silent = Facts({**model.equipment, "crank_behaviour": "silent"}, {"crank_behaviour": "silent"})
    at_slow, at_silent = (model.table("start_terminal_voltage", facts).slipped for facts in (slow, silent))
    assert at_silent.below(20.0) > at_slow.below(20.0)  # nothing there, as on most silent machines


def test_a_repair_takes_away_all_degrees_of_all_faults_it_cures(kb: Knowledge) -> None:
    model = model_of(kb)
    faults = {model.elements[i].fault for i in model.repaired_by["replace_relay"]}
    assert faults == {"relay_contacts", "relay_coil", "relay_contacts_welded"}
    assert set(model.elements_of["relay_contacts"]) <= model.repaired_by["replace_relay"]


def test_a_mended_hypothesis_needs_only_what_is_left() -> None:
    mended = RepairState(frozenset({1, 2}))
    assert mended.left((1, 5)) == (5,)
    assert mended.left((1, 2)) == ()
    assert mended.empties((1, 2))
    assert not mended.empties((1, 5))
    assert not mended.empties(())
    # The complaint stays although all that was wrong was repaired: the work failed.
    assert RepairState(frozenset({1, 2}), symptom_persists=True).left((1, 2)) == (1, 2)
    assert RepairState(frozenset({1, 2}), symptom_persists=True).left((1, 5)) == (5,)


def test_a_rule_of_a_kind_that_does_not_fit_a_reading_is_told_with_its_place(kb: Knowledge) -> None:
    told = next(rule for rule in kb.rules.values() if "loaded_drop" in rule.measurements.kinds)
    unfit = replace(told, reads={"high": 0.9})
    model = Model(replace(kb, rules={**kb.rules, told.id: unfit}), complete(kb, {}))
    (reading, *_) = (m.id for m in model.measurements.values() if "loaded_drop" in m.kinds)
    said = rf"{told.origin} rule {told.id} gives chances, but .* is read in V"
    with pytest.raises(KnowledgeError, match=said):
        model.table(reading, model.known)
