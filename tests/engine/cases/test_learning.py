"""What closed cases teach."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.engine import Case
from crankpath.engine.cases.learning import WORTH, Closed, misleading, share_changes, stated_chances
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.records import Knowledge

CaseOf = Callable[..., Case]


def model_of(kb: Knowledge, **equipment: object) -> Model:
    return Case(kb, equipment).assessment.model


def part_of(kb: Knowledge, fault: str, model: Model) -> float:
    shares = {name: sum(model.elements[i].chance for i in own) for name, own in model.elements_of.items()}
    return shares[fault] / sum(shares.values())


def test_on_machines_all_alike_the_share_is_the_dirichlet_posterior_mean(kb: Knowledge) -> None:
    model = model_of(kb)
    confirmed = {"positive_cable": 7, "battery_worn": 3}
    changes = {c.fault.id: c for c in share_changes(kb, confirmed, 40.0, [model] * 10)}
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
    counts = {name: 1000 * part_of(kb, name, model) for name in model.elements_of}
    for change in share_changes(kb, counts, 200.0):  # type: ignore[arg-type]
        assert change.ratio == pytest.approx(1.0)


def test_a_fault_that_no_machine_seen_can_have_keeps_its_share(kb: Knowledge) -> None:
    model = model_of(kb, ground_path="direct", disconnect_switch="none")
    assert "ground_strap" not in model.elements_of
    changes = {c.fault.id: c for c in share_changes(kb, {"positive_cable": 50}, 20.0, [model] * 50)}
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
    assert len(change.shares) == len(change.fault.shares) == 2
    assert all(before < after < 1.0 for before, after in change.shares)


def closed(case: Case, *causes: str, name: str = "a case") -> Closed:
    return Closed(name, case, causes)


def test_a_rule_that_was_sure_of_another_reading_is_told_with_what_was_read(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 20 mV")
    found = misleading([closed(case, "positive_post_joint", name="one"), closed(case, "positive_post_joint")])
    worst = found[0]
    assert (worst.rule, worst.measurement) == ("slight_resistance_shows_across", "positive_post_drop")
    assert (worst.readings, worst.cases) == (2, ("one", "a case"))
    assert worst.values == pytest.approx((0.02, 0.02))
    assert worst.expected is not None
    said = case.kb.rules[worst.rule].reads.between
    assert (worst.expected.low, worst.expected.high) == pytest.approx(said, rel=0.1)
    assert worst.bits > 3
    assert worst.origin.file.endswith("main_resistance.yaml")


def test_readings_as_the_rules_expect_them_mislead_nobody(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.4 V")
    assert misleading([closed(case, "positive_post_joint")]) == ()


def test_readings_after_a_repair_or_with_the_symptom_away_mislead_nobody(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent", "crank_behaviour slow", "positive_post_drop 20 mV~")
    case.repaired("clean_positive_post", cured=True)
    case.record("positive_post_drop", "10 mV")
    measured = {s.measurement for s in misleading([closed(case, "positive_post_joint")])}
    assert "positive_post_drop" not in measured


def test_two_confirmed_causes_tell_nothing_of_one_rule(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 20 mV")
    assert misleading([closed(case, "positive_post_joint", "battery_worn")]) == ()


def test_the_repair_stated_before_the_first_repair_is_held_against_what_was_needed(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 1.4 V", "positive_post_drop 1.3 V")
    before = case.advisor.repair_chances["clean_positive_post"]
    case.repaired("clean_positive_post", cured=True)
    right, wrong = stated_chances([closed(case, "positive_post_joint"), closed(case, "positive_cable")])
    assert right.repair == wrong.repair == "clean_positive_post"
    assert (right.right, wrong.right) == (True, False)
    assert right.chance == pytest.approx(before, abs=0.02)
    assert wrong.needed == ("replace_positive_cable",)
