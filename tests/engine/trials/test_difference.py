"""What a change of the knowledge base does."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from crankpath.engine import load_knowledge
from crankpath.engine.cases.casefile import load_case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.trials.difference import (
    case_change,
    entry_changes,
    machine_changes,
    worst_cases,
    worst_machines,
)

SHOP = """\
faults:
  positive_cable: {like: positive_cable, share: 0.3}
  our_cable: {like: positive_cable, label: our own cable, share: 0.01}
scale: {our_word: 0.42}
settings: {proven_at: {value: 0.5}}
retire: {rules: [joints_come_and_go]}
"""
SLOW = "entries: [{reading: crank_behaviour, value: slow}]\nexpect: {first: %s}\n"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Knowledge:
    folder = tmp_path_factory.mktemp("shop")
    (folder / "shop.yaml").write_text(SHOP, "utf-8")
    return load_knowledge(folder)


def test_a_knowledge_base_does_not_differ_from_itself(kb: Knowledge) -> None:
    assert entry_changes(kb, load_knowledge()) == ()


def test_entries_are_added_changed_and_retired_field_by_field(kb: Knowledge, shop: Knowledge) -> None:
    changes = {c.key: c for c in entry_changes(kb, shop)}
    assert {key: c.sort for key, c in changes.items()} == {
        "faults/positive_cable": "changed",
        "faults/our_cable": "added",
        "scale/our_word": "added",
        "settings/proven_at": "changed",
        "rules/joints_come_and_go": "retired",
    }
    (field,) = changes["faults/positive_cable"].fields
    assert field.field == "share"
    assert (field.before[-1]["chance"], field.after[-1]["chance"]) == (0.03, 0.3)
    after = changes["faults/positive_cable"].after
    assert after is not None
    assert (Path(after[0]).name[:4], after[1].file, after[1].line) == ("shop", "shop.yaml", 2)
    assert changes["rules/joints_come_and_go"].after is None


def test_the_same_change_the_other_way_round_is_its_mirror(kb: Knowledge, shop: Knowledge) -> None:
    mirror = {"added": "retired", "retired": "added", "changed": "changed"}
    there = {(c.key, mirror[c.sort]) for c in entry_changes(kb, shop)}
    assert there == {(c.key, c.sort) for c in entry_changes(shop, kb)}


def test_a_case_is_told_with_what_moved_and_whether_it_still_holds(kb: Knowledge, shop: Knowledge) -> None:
    likeliest = "positive_cable"
    change = case_change(kb, shop, "slow", load_case(SLOW % likeliest))
    assert "ranking" in change.shift.what
    assert change.shift.after.ranking[0][0] == likeliest
    assert change.held == (False, True)
    back = case_change(shop, kb, "slow", load_case(SLOW % likeliest))
    assert back.held == (True, False)
    assert worst_cases([change, back])[0] is back  # what no longer comes out as it must is told first


def test_a_case_that_comes_out_the_same_is_not_told(kb: Knowledge) -> None:
    change = case_change(kb, kb, "slow", load_case(SLOW % "positive_cable"))
    assert change.shift.what == ()
    assert worst_cases([change]) == []


def test_a_case_that_one_of_them_cannot_use_says_why(kb: Knowledge) -> None:
    measurements = {name: m for name, m in kb.measurements.items() if name != "wiggle_test"}
    less = replace(kb, measurements=measurements)
    change = case_change(kb, less, "wiggle", load_case("readings: {wiggle_test: no_change}"))
    assert change.shift.what[0] == "trouble"
    assert "wiggle_test" in change.shift.after.trouble


@pytest.mark.slow
def test_under_equal_knowledge_no_drawn_machine_goes_otherwise(kb: Knowledge) -> None:
    (change,) = machine_changes(kb, kb, 1, seed=3)
    assert change.what == ()
    assert change.before == change.after
    assert worst_machines([change]) == []


def test_drawn_machines_are_the_same_for_both_and_losses_come_first(kb: Knowledge, shop: Knowledge) -> None:
    (change,) = machine_changes(kb, shop, 1, seed=3)
    assert change.before is not None
    assert change.after is not None
    assert change.before.truth == change.after.truth == change.truth
    assert "ranking" in change.first.what
    worse = replace(change, after=replace(change.after, first_right=False, minutes_before=900.0))
    better = replace(change, number=7, after=replace(change.after, minutes_before=0.0))
    assert [c.number for c in worst_machines([better, worse])] == [worse.number, 7]


@pytest.mark.slow
def test_a_machine_whose_fault_is_no_longer_listed_is_told_so(kb: Knowledge) -> None:
    truth = next(iter(machine_changes(kb, kb, 1, seed=3))).truth[0]
    less = replace(kb, faults={name: f for name, f in kb.faults.items() if name != truth})
    (change,) = machine_changes(kb, less, 1, seed=3)
    assert change.after is None
    assert truth in change.trouble
