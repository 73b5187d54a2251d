"""Rules against physics: quantiles read and expected, and a wrong rule stands out."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Range, Selector
from crankpath.engine.trials.physics_check import compare, lacking, worst_first


def test_observations_are_compared_by_value_and_meter_readings_by_quantiles() -> None:
    kb = shipped_knowledge()
    for batch in compare(kb, 4, 1, faults=["start_fuse"]):
        for comparison in batch:
            assert comparison.bits >= 0.0
            if kb.measurements[comparison.measurement].numeric:
                assert comparison.read is not None
                assert comparison.rule_reads is not None
                for said in (comparison.read, comparison.rule_reads):
                    if said.low is not None and said.middle is not None and said.high is not None:
                        assert said.low <= said.middle <= said.high
            else:
                assert sum(comparison.seen) == pytest.approx(1.0)
                assert sum(comparison.expected) == pytest.approx(1.0)


@pytest.mark.slow
def test_a_range_ten_times_too_high_is_listed_first_with_both_ranges() -> None:
    kb = shipped_knowledge()
    rule = replace(
        kb.rules["slight_resistance_shows_across"],
        id="odd",
        faults=Selector(("positive_post_joint",), ()),
        measurements=Selector(("positive_post_drop",), ()),
        reads=Range((10.0, 11.0)),
    )
    wrong = replace(kb, rules={**kb.rules, rule.id: rule})
    comparisons = [c for batch in compare(wrong, 12, 1, faults=["positive_post_joint"]) for c in batch]
    (found,) = [c for c in comparisons if c.rule == "odd"]
    assert found is worst_first(comparisons)[0]
    assert found.read is not None
    assert found.read.high is not None
    assert found.read.high < 8.0
    assert found.rule_reads is not None
    assert found.rule_reads.low in (pytest.approx(10.0, rel=0.1), pytest.approx(20.0, rel=0.1))


def test_what_a_shop_added_is_passed_over_and_said() -> None:
    kb = shipped_knowledge()
    fault = replace(kb.faults["positive_cable"], id="positive_splice")
    drop = replace(kb.measurements["positive_cable_drop"], id="splice_drop")
    slow = replace(kb.faults["start_fuse"], degrees={**kb.faults["start_fuse"].degrees, "warm": 0.1})
    shop = replace(
        kb,
        faults={**kb.faults, "positive_splice": fault, "start_fuse": slow},
        measurements={**kb.measurements, "splice_drop": drop},
    )
    of_plain_machines = {f"faults/{fault}" for fault in Case(kb).assessment.model.faults}
    assert of_plain_machines & set(lacking(kb)) == set()
    added = set(lacking(shop)) - set(lacking(kb))
    assert added == {"measurements/splice_drop", "faults/start_fuse (warm)", "faults/positive_splice"}
    batches = list(compare(shop, 1, 1, faults=["positive_splice", "start_fuse"]))
    assert {c.degree for batch in batches for c in batch} <= set(kb.faults["start_fuse"].degrees)
    assert "splice_drop" not in {c.measurement for batch in batches for c in batch}


@pytest.mark.slow
def test_a_rule_that_says_the_opposite_is_listed_first_with_its_place() -> None:
    kb = shipped_knowledge()
    rule = kb.rules["fuse_is_seen_open"]
    wrong = replace(kb, rules={**kb.rules, rule.id: replace(rule, reads={"open": 0.01, "good": 0.99})})
    comparisons = [c for batch in compare(wrong, 12, 1, faults=["start_fuse"]) for c in batch]
    first = worst_first(comparisons)[0]
    assert first.rule == rule.id
    assert first.origin == rule.origin


@pytest.mark.slow
def test_machines_with_another_complaint_are_compared_by_themselves() -> None:
    kb = shipped_knowledge()
    fault = "solenoid_plunger"  # silent, or a click
    apart = [c for batch in compare(kb, 70, 1, faults=[fault], by_complaint=True) for c in batch]
    together = {c.measurement: c for batch in compare(kb, 70, 1, faults=[fault]) for c in batch}
    bypass = [c for c in apart if c.measurement == "solenoid_bypass"]
    assert {c.complaint for c in bypass} == {"silent", "single_click"}
    assert all(10 <= c.machines <= together["solenoid_bypass"].machines for c in bypass)
    # what is silent by the key is silent by the button
    silent = next(c for c in bypass if c.complaint == "silent")
    assert silent.seen[silent.bands.index("nothing")] > together["solenoid_bypass"].seen[3]
    assert [c.complaint for c in apart if c.measurement == "crank_behaviour"] == [None]
