"""What rules should say instead, by readings of closed cases."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import pytest

from crankpath.engine import Case
from crankpath.engine.bayes.densities import Scale
from crankpath.engine.knowledge.records import Knowledge, Range
from crankpath.engine.learning.closed_case import ClosedCase
from crankpath.engine.learning.proposals import RuleProposal, proposals, with_proposals
from crankpath.engine.learning.rule_samples import SampleCollector


def heard(
    kb: Knowledge, readings: Sequence[str], cause: str = "hot_cable", volts: int = 12
) -> SampleCollector:
    listener = SampleCollector()
    for number, text in enumerate(readings):
        case = Case(kb, {"system_voltage": volts})
        case.record("crank_behaviour", "slow")
        case.record("positive_leg_drop", text)
        listener.take(ClosedCase(f"case {number}", case, ((cause,),)))
    return listener


def proposed(kb: Knowledge, readings: Sequence[str], worth: float = 5.0) -> dict[str, RuleProposal]:
    found = proposals(kb, heard(kb, readings).heard.values(), worth)
    return {one.id: one for one in found}


def ends(one: RuleProposal) -> tuple[float, float]:
    assert isinstance(one.new, Range)
    assert one.new.between is not None
    low, high = one.new.between
    assert isinstance(low, float)
    assert isinstance(high, float)
    return low, high


def drawn(low: float, high: float, count: int) -> list[str]:
    """Readings of which nine in ten lie between two figures, normal on the meter's own scale."""
    rng, scale = Random(3), Scale(0.01, 0.05)
    ends = scale.position(low), scale.position(high)
    middle, half = (ends[0] + ends[1]) / 2, (ends[1] - ends[0]) / 2
    return [f"{scale.value(middle + half * rng.gauss(0.0, 1.0) / 1.645):.3f} V" for _ in range(count)]


def test_many_readings_make_the_range_that_they_have(small: Knowledge) -> None:
    one = proposed(small, drawn(1.5, 6.0, 300))["shows_across_of_hot_cable"]
    assert ends(one) == pytest.approx((1.5, 6.0), rel=0.15)
    assert one.weight == pytest.approx(300, rel=0.05)


def test_few_readings_move_it_part_of_the_way(small: Knowledge) -> None:
    few, many = (ends(proposed(small, drawn(1.5, 6.0, n))["shows_across_of_hot_cable"]) for n in (5, 200))
    assert 0.4 < few[0] < many[0]


def test_the_more_a_rule_is_worth_the_less_it_moves(small: Knowledge) -> None:
    readings = drawn(1.5, 6.0, 12)
    made = [proposed(small, readings, worth)["shows_across_of_hot_cable"] for worth in (2.0, 10.0, 50.0)]
    low = [ends(one)[0] for one in made]
    assert low == sorted(low, reverse=True)


def test_readings_as_the_rule_expects_propose_nothing(small: Knowledge) -> None:
    assert "shows_across_of_hot_cable" not in proposed(small, drawn(0.4, 3.0, 300))


def test_two_cases_are_too_few(small: Knowledge) -> None:
    assert proposed(small, ["6 V", "6.2 V"]) == {}


def test_a_slip_among_many_does_not_widen_the_range(small: Knowledge) -> None:
    clean = ends(proposed(small, drawn(1.5, 6.0, 100))["shows_across_of_hot_cable"])
    with_slip = proposed(small, [*drawn(1.5, 6.0, 100), "0 V"])["shows_across_of_hot_cable"]
    assert ends(with_slip) == pytest.approx(clean, rel=0.1)


def test_a_proposal_tells_its_cases_and_how_sure_its_middle_is(small: Knowledge) -> None:
    one = proposed(small, drawn(1.5, 6.0, 40))["shows_across_of_hot_cable"]
    assert len(one.cases) == 40
    assert one.cases[0][0] == "case 0"
    assert one.middle is not None
    before, low, high = one.middle
    scale = Scale(0.01, 0.05)
    assert before == pytest.approx(scale.value((scale.position(0.4) + scale.position(3.0)) / 2))
    assert before < low < high < 2 * low


def test_values_of_an_observation_are_counted_to_what_was_stated(small: Knowledge) -> None:
    one = proposed(small, drawn(0.4, 3.0, 60))["cranks_slowly_of_hot_cable"]
    assert not isinstance(one.new, Range)
    # (5 * 0.9 + 60) / 65, and what is left for the two values that were never seen
    assert one.new["slow"] == pytest.approx((5 * 0.9 + 60) / 65, abs=0.002)
    assert sum(one.new.values()) == pytest.approx(1.0)


def test_what_was_learned_gives_the_readings_of_the_shop_better_chances(small: Knowledge) -> None:
    readings = drawn(1.5, 6.0, 60)
    knows = with_proposals(small, proposed(small, readings).values())

    def chance(kb: Knowledge) -> float:
        case = Case(kb, {})
        case.record("crank_behaviour", "slow")
        case.record("positive_leg_drop", "3.2 V")
        return case.assessment.posterior.evidence_chance

    assert chance(knows) > chance(small)


def test_a_formula_is_multiplied_and_stays_one(kb: Knowledge) -> None:
    listener = SampleCollector()
    for number in range(30):
        case = Case(kb, {"system_voltage": 12})
        case.record("crank_behaviour", "slow")
        usual = case.assessment.now.facts.values["usual_crank_current"]
        assert isinstance(usual, float)
        case.record("crank_current", f"{usual * (1.1 + number / 100):.0f} A")
        listener.take(ClosedCase(f"case {number}", case, (("cables_undersized",),)))
    found = {one.id: one for one in proposals(kb, listener.heard.values(), 5.0)}
    one = found["thin_cables_lower_the_current"]
    assert isinstance(one.new, Range)
    assert one.new.between is not None
    low, high = one.new.between
    assert str(getattr(low, "text", "")).endswith("* usual_crank_current")
    assert 0.6 < float(low.text.split("*")[0]) < 1.1  # type: ignore[union-attr]
    assert 1.3 < float(high.text.split("*")[0]) < 1.8  # type: ignore[union-attr]


def test_readings_of_one_case_count_as_one(kb: Knowledge) -> None:
    listener = SampleCollector()
    for number in range(6):
        case = Case(kb, {"system_voltage": 12})
        case.record("crank_behaviour", "slow")
        case.record("positive_leg_drop", "2 V")
        case.record("positive_post_drop", "1.9 V")
        listener.take(ClosedCase(f"case {number}", case, (("positive_post_joint",),)))
    found = proposals(kb, listener.heard.values(), 5.0)
    assert all(one.weight < 6.01 for one in found)
    assert any(len(one.cases) == 12 for one in found)


def test_what_one_fault_shows_changes_nothing_that_is_said_of_another(small: Knowledge) -> None:
    knows = with_proposals(small, proposed(small, drawn(1.5, 6.0, 60)).values())
    assert knows.rules["shows_across"] == small.rules["shows_across"]
    told = (("positive_leg_drop", "hot_cable", True), ("negative_leg_drop", "ground", False))
    for name, cause, moved in told:
        rows = []
        for base in (small, knows):
            model = Case(base, {}).assessment.model
            (element,) = model.elements_of[cause]
            rows.append(model.effects(name, model.known, {element})[element].row)
        assert (rows[0] != rows[1]) is moved


def test_cases_of_several_faults_speak_for_a_rule_on_their_kind(kb: Knowledge) -> None:
    joints = {"positive_post_joint": "positive_post_drop", "negative_post_joint": "negative_post_drop",
              "starter_mount_ground": "starter_ground_drop"}  # fmt: skip
    joints = {fault: name for fault, name in joints.items() if name in kb.measurements}
    listener = SampleCollector()
    for fault, name in [*joints.items(), ("positive_cable", "positive_leg_drop")] * 4:
        case = Case(kb, {"system_voltage": 12})
        case.record("crank_behaviour", "slow")
        case.record(name, "0.32 V")
        listener.take(ClosedCase("one", case, ((fault,),)))
    found = {one.id: one for one in proposals(kb, listener.heard.values(), 5.0)}
    one = found["slight_resistance_shows_across"]
    assert one.fault == ""
    assert len({measurement for _, measurement, _ in one.cases}) >= 3
    assert not [id_ for id_ in found if id_.startswith("slight_resistance_shows_across_of")]
