"""How often each fault is met, by what closed cases confirmed."""

from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning.shares import WORTH, ShareTotals, share_changes


def model_of(kb: Knowledge, **equipment: object) -> Model:
    return Case(kb, equipment).assessment.model


def seen(model: Model, times: int = 1) -> ShareTotals:
    one, found = ShareTotals(), ShareTotals()
    one.add(model)
    found.add_all(one, times)
    return found


def part_of(kb: Knowledge, fault: str, model: Model) -> float:
    shares = {name: sum(model.elements[i].chance for i in own) for name, own in model.elements_of.items()}
    return shares[fault] / sum(shares.values())


def test_on_machines_all_alike_the_share_is_the_dirichlet_posterior_mean(kb: Knowledge) -> None:
    model = model_of(kb)
    confirmed = {"positive_cable": 7.0, "battery_worn": 3.0}
    changes = {c.fault.id: c for c in share_changes(kb, confirmed, 40.0, seen(model, 10))}
    for name in model.elements_of:  # (worth * m + n) / (worth + N), worked out by hand
        before = part_of(kb, name, model)
        after = (40.0 * before + confirmed.get(name, 0)) / (40.0 + 10)
        assert changes[name].ratio == pytest.approx(after / before)


def test_the_new_parts_sum_to_one_as_the_old_ones_did(kb: Knowledge) -> None:
    model = model_of(kb)
    changes = share_changes(kb, {"positive_cable": 7, "battery_worn": 3}, 40.0)
    total = sum(c.ratio * part_of(kb, c.fault.id, model) for c in changes if c.fault.id in model.elements_of)
    assert total == pytest.approx(1.0)


def test_a_fault_found_as_often_as_expected_keeps_its_share(kb: Knowledge) -> None:
    model = model_of(kb)
    counts = {name: 1000.0 * part_of(kb, name, model) for name in model.elements_of}
    for change in share_changes(kb, counts, 200.0):
        assert change.ratio == pytest.approx(1.0)


def test_a_fault_that_no_machine_seen_can_have_keeps_its_share(kb: Knowledge) -> None:
    model = model_of(kb, ground_path="direct", disconnect_switch="none")
    assert "ground_strap" not in model.elements_of
    changes = {c.fault.id: c for c in share_changes(kb, {"positive_cable": 50}, 20.0, seen(model, 50))}
    assert changes["ground_strap"].ratio == 1.0
    assert changes["starter_brushes"].ratio < 1.0


def test_the_more_the_stated_shares_are_worth_the_less_a_case_moves_them(kb: Knowledge) -> None:
    ratios = [
        next(c.ratio for c in share_changes(kb, {"battery_worn": 5}, worth) if c.fault.id == "battery_worn")
        for worth in (10.0, 100.0, 10_000.0)
    ]
    assert ratios == sorted(ratios, reverse=True)
    assert ratios[-1] == pytest.approx(1.0, abs=0.05)
    assert kb.settings[WORTH] > 0


def test_every_share_of_a_fault_is_scaled_alike_and_stays_a_chance(kb: Knowledge) -> None:
    changes = share_changes(kb, {"positive_post_joint": 10_000}, 1.0)
    change = next(c for c in changes if c.fault.id == "positive_post_joint")
    assert len(change.shares) == len(change.fault.shares) > 1
    assert all(before < after < 1.0 for before, after in change.shares)
