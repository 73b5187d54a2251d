"""Chances accounted for: the product of what is written is what the case states."""

from __future__ import annotations

from collections.abc import Callable
from math import prod

import pytest

from crankpath.engine import Case
from crankpath.engine.advice.accounting import account
from crankpath.engine.knowledge.records import Knowledge

CaseOf = Callable[..., Case]

CASES = {
    "one reading": ("crank_behaviour slow",),
    "near a limit": ("crank_behaviour slow", "positive_leg_drop 0.41 V", "positive_post_drop 0.08 V"),
    "a mask": ("crank_behaviour silent", "start_terminal_voltage 12.1 V", "positive_post_drop 12.4 V"),
    "symptom unseen": ("occurrence intermittent", "crank_behaviour slow", "battery_rest_voltage 12.1 V"),
    "symptom away": ("occurrence intermittent", "crank_behaviour slow", "positive_leg_drop 60 mV~"),
    "moves added": ("crank_behaviour slow", "crank_current 210 A", "battery_crank_voltage 11.6 V"),
    "a leg and its parts": (
        "crank_behaviour slow",
        "positive_leg_drop 1.4 V",
        "positive_post_drop 0.9 V",
        "starter_stud_drop 0.1 V",
    ),
    "taken twice": ("crank_behaviour slow", "positive_post_drop 1.5 V", "positive_post_drop 1.6 V"),
}


@pytest.mark.parametrize("readings", CASES.values(), ids=CASES)
@pytest.mark.parametrize("fault", ["positive_post_joint", "starter_dragging", None])
def test_the_account_comes_to_the_chance_that_the_case_states(
    case_of: CaseOf, readings: tuple[str, ...], fault: str | None
) -> None:
    case = case_of(*readings)
    found = account(case.assessment, fault)
    stated = next(c.probability for c in case.causes() if c.fault == fault)
    assert found.total == pytest.approx(stated, abs=1e-9)
    assert found.alone == pytest.approx(found.stated_alone, abs=1e-9)
    factors = prod(factor.value for factor in found.factors)
    assert found.prior.of_set * factors == pytest.approx(found.product)
    assert found.product / found.evidence_chance == pytest.approx(found.alone)


def test_repairs_that_did_not_cure_are_accounted_for(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 0.9 V")
    case.repaired("clean_positive_post", cured=False)
    case.record("positive_leg_drop", "0.85 V")
    case.repaired("clean_starter_stud", cured=False)
    for fault in ("positive_post_joint", "positive_cable", "starter_stud_joint"):
        found = account(case.assessment, fault)
        stated = next(c.probability for c in case.causes() if c.fault == fault)
        assert found.total == pytest.approx(stated, abs=1e-9)
    factors = account(case.assessment, "positive_post_joint").factors
    outcomes = [f for f in factors if f.readings[0].outcome]
    failed = case.kb.settings["failed_repair"]
    # its own repair, and one that had nothing to do with it
    assert [f.value for f in outcomes] == [failed, 1.0]


def test_the_share_in_force_is_the_one_whose_condition_holds(case_of: CaseOf, kb: Knowledge) -> None:
    shares = kb.faults["positive_post_joint"].shares
    plain = account(case_of("crank_behaviour slow").assessment, "positive_post_joint").prior
    bumpy = account(case_of("crank_behaviour slow", over_bumps=True).assessment, "positive_post_joint").prior
    assert (bumpy.share, plain.share) == (shares[0], shares[-1])
    assert plain.chance == pytest.approx(shares[-1].chance * kb.settings["co_occurrence_scale"] * plain.part)
    assert plain.scale_at.file.endswith("settings.yaml")


def test_a_reading_that_is_no_evidence_is_told_with_the_reason(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "crank_current 0 A", "positive_leg_drop 0 V")
    told = {piece.taken.measurement.id: piece.why_not for piece in case.assessment.weighed if piece.taken}
    expected = {(name, why) for name, why in told.items() if why}
    assert set(account(case.assessment, "positive_cable").unused) == expected


def test_what_was_left_out_is_what_the_posterior_says(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    found = account(case.assessment, "positive_cable")
    assert found.bound == case.assessment.posterior.bound
    assert found.left_out == case.assessment.model.hypotheses.left_out > 0
