"""Rules against physics: shares seen and expected are distributions, and a wrong rule stands out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.trials.physics_check import compare, worst_first


def test_seen_and_expected_are_distributions_over_the_bands() -> None:
    kb = load_knowledge()
    for batch in compare(kb, 4, 1, faults=["start_fuse"]):
        for comparison in batch:
            assert sum(comparison.seen) == pytest.approx(1.0)
            assert sum(comparison.expected) == pytest.approx(1.0)
            assert comparison.bits >= 0.0


def test_a_rule_that_says_the_opposite_is_listed_first_with_its_place() -> None:
    kb = load_knowledge()
    rule = kb.rules["fuse_is_seen_open"]
    wrong = replace(kb, rules={**kb.rules, rule.id: replace(rule, reads={"open": 0.01, "good": 0.99})})
    comparisons = [c for batch in compare(wrong, 12, 1, faults=["start_fuse"]) for c in batch]
    first = worst_first(comparisons)[0]
    assert first.rule == rule.id
    assert first.origin == rule.origin


@pytest.mark.slow
def test_machines_with_another_complaint_are_compared_by_themselves() -> None:
    kb = load_knowledge()
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
