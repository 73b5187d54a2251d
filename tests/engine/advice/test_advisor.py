"""What to do next: suggestions, their minutes and worth, and the verdict."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from crankpath.engine import Case
from crankpath.engine.advice.advisor import Advisor
from crankpath.engine.inference.entries import Reading
from crankpath.engine.inference.ranges import sound_band
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.machine.safety import decided_by

CaseOf = Callable[..., Case]


def suggested(case: Case) -> list[str]:
    return [s.measurement for s in case.suggestions()]


def minutes(case: Case, measurement: str) -> float:
    return next(s.minutes for s in case.suggestions() if s.measurement == measurement)


def test_suggestions_come_by_the_minutes_they_save(case_of: CaseOf) -> None:
    suggestions = case_of("crank_behaviour slow").suggestions()
    saves = [round(s.saves, 6) for s in suggestions]
    assert saves == sorted(saves, reverse=True)
    assert all(s.bits >= -1e-9 and s.minutes >= 0.0 for s in suggestions)


def test_what_was_read_is_not_suggested_again_unless_the_symptom_was_away(case_of: CaseOf) -> None:
    read = case_of("crank_behaviour slow", "positive_leg_drop 0.1 V", "positive_post_inspection corroded")
    assert not {"crank_behaviour", "positive_leg_drop", "positive_post_inspection"} & set(suggested(read))
    away = case_of("crank_behaviour slow", "positive_leg_drop 0.1 V ~", "positive_post_inspection corroded ~")
    assert "positive_leg_drop" in suggested(away)
    assert "positive_post_inspection" not in suggested(away)  # looks do not come and go with the symptom


def test_what_needs_a_tool_that_is_not_at_hand_is_not_suggested(case_of: CaseOf) -> None:
    assert "crank_current" in suggested(case_of("crank_behaviour slow"))
    assert "crank_current" not in suggested(case_of("crank_behaviour slow", lacks=frozenset({"clamp_meter"})))


def test_what_is_unsafe_or_pointless_now_is_not_suggested(case_of: CaseOf) -> None:
    locked = case_of("crank_behaviour single_click", "engine_turns_by_hand locked")
    assert not {"positive_leg_drop", "solenoid_bypass", "crank_current"} & set(suggested(locked))
    silent = case_of("crank_behaviour silent")
    assert not {"warm_joint", "crank_speed"} & set(suggested(silent))


def test_what_this_machine_does_not_have_is_not_suggested(case_of: CaseOf) -> None:
    plain = case_of("crank_behaviour slow", ground_path="direct", disconnect_switch="none", start_relay=False)
    assert not {"ground_strap_drop", "disconnect_drop", "relay_contact_drop"} & set(suggested(plain))


def test_work_shared_by_readings_is_paid_once(case_of: CaseOf) -> None:
    first = case_of("crank_behaviour slow")
    second = case_of("crank_behaviour slow", "positive_leg_drop 0.3 V")
    assert minutes(second, "negative_leg_drop") < minutes(first, "negative_leg_drop")
    assert minutes(second, "negative_leg_drop") >= first.kb.measurements["negative_leg_drop"].minutes


def test_a_rare_symptom_makes_readings_that_need_it_worth_less(case_of: CaseOf) -> None:
    def bits(failures: int) -> float:
        case = case_of("crank_behaviour single_click", "occurrence intermittent")
        case.tries(failures, 20)
        return next(s.bits for s in case.suggestions() if s.measurement == "positive_post_drop")

    assert bits(1) < 0.3 * bits(19)


def test_a_repair_is_advised_only_from_the_stated_chance_on(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour silent", "gear_selector_trial cranks_in_other_position")
    case.record("interlock_output_voltage", "0 V")
    case.record("key_switch_output_voltage", "12.5 V")
    verdict = case.verdict()
    assert (verdict.action, verdict.repair) == ("repair", "adjust_or_replace_interlock")
    assert verdict.probability >= case.kb.settings["proven_at"]
    assert verdict.faults[0] == "interlock_switch"


def test_faults_with_the_same_repair_are_one_answer(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour silent", "relay_coil_voltage 12.4 V", "relay_contact_drop 12.4 V")
    chances = {c.fault: c.probability for c in case.causes()}
    both = case.advisor.repair_chances["replace_relay"]
    assert max(chances["relay_coil"], chances["relay_contacts"]) < both
    assert both <= chances["relay_coil"] + chances["relay_contacts"] + 1e-9


def test_chances_of_repairs_are_of_what_is_still_needed(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.8 V", "positive_post_inspection corroded")
    assert case.advisor.repair_chances["clean_positive_post"] > 0.5
    case.repaired("clean_positive_post", cured=True)
    assert case.advisor.repair_chances.get("clean_positive_post", 0.0) < 0.05


def test_after_a_repair_that_did_not_cure_what_it_does_now_comes_first(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.8 V")
    case.repaired("clean_positive_post", cured=False)
    assert (case.verdict().action, case.verdict().measurement) == ("measure", "crank_behaviour")
    case.cannot("crank_behaviour")
    assert case.verdict().measurement != "crank_behaviour"


def test_with_no_means_to_read_on_cheap_work_is_tried_and_a_part_is_not_condemned(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 0.5 V")
    for measurement in case.assessment.model.measurements:
        case.cannot(measurement)
    assert case.suggestions() == []
    verdict = case.verdict()
    assert (verdict.action, verdict.repair) == ("repair", "clean_positive_post")
    bare = case_of("crank_behaviour slow")
    for measurement in bare.assessment.model.measurements:
        bare.cannot(measurement)
    stuck = bare.verdict()
    assert stuck.action == "stuck"
    assert 1 <= len(stuck.would_help) <= 2
    assert "nothing that can be done here tells more" in stuck.because


def test_who_cannot_reach_a_place_is_not_asked_for_another_reading_there(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    assert {"starter_stud_drop", "starter_mount_drop"} <= set(suggested(case))
    case.cannot("starter_stud_drop")
    assert "starter_mount_drop" not in suggested(case)
    assert "positive_post_drop" in suggested(case)


def test_work_by_the_piece_is_paid_for_each_and_putting_back_counts(case_of: CaseOf) -> None:
    rested = ("crank_behaviour slow", "battery_rest_voltage 12.6 V")
    two, four = (case_of(*rested, battery_count=n) for n in (2, 4))
    assert minutes(four, "battery_load_voltage") > minutes(two, "battery_load_voltage") + 10.0
    assert minutes(two, "starter_no_load_current") >= 45.0 + 30.0


def test_a_part_is_borne_out_before_it_is_condemned(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "solenoid_contact_drop 3.0 V")
    for name in ("battery_rest_voltage", "positive_leg_drop", "negative_leg_drop", "starter_crank_voltage"):
        case.cannot(name)
    assert case.advisor.repair_chances["replace_solenoid"] > 0.85
    first = case.verdict()
    assert first.action == "measure"
    case.record("solenoid_contact_drop", "3.1 V")
    second = case.verdict()
    assert (second.action, second.repair) == ("repair", "replace_solenoid")


def test_work_that_did_not_cure_is_read_again_before_it_is_done_again(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour silent", "positive_post_drop 8.6 V", "positive_post_drop 8.5 V")
    case.repaired("clean_positive_post", cured=False)
    case.record("crank_behaviour", "silent")
    assert case.verdict().action == "measure"
    case.record("positive_post_drop", "8.6 V")
    again = case.verdict()
    assert (again.action, again.repair) == ("repair", "clean_positive_post")


def test_a_battery_is_read_after_the_charge_before_it_is_condemned(case_of: CaseOf) -> None:
    worn = ("battery_rest_voltage 12.5 V", "battery_crank_voltage 7.4 V", "battery_capacity_percent 30")
    case = case_of("crank_behaviour slow", *worn)
    case.repaired("charge_battery", cured=False)
    case.record("crank_behaviour", "slow")
    assert case.advisor.repair_chances["replace_battery"] > 0.95
    assert case.verdict().measurement in ("battery_crank_voltage", "battery_capacity_percent")
    case.record("battery_crank_voltage", "7.5 V")
    assert (case.verdict().action, case.verdict().repair) == ("repair", "replace_battery")


def test_the_one_reading_that_speaks_for_a_part_is_taken_again_before_it(case_of: CaseOf) -> None:
    # 12.0 V at the battery while it cranks slowly is a misread: 7.5 V arrive over sound legs.
    read = {
        "crank_behaviour": "slow", "battery_rest_voltage": "12.0 V", "charging_voltage": "14.5 V",
        "battery_crank_voltage": "12.0 V", "positive_leg_drop": "0.19 V", "negative_leg_drop": "0.28 V",
        "start_terminal_voltage": "7.0 V", "solenoid_contact_drop": "70 mV", "relay_output_voltage": "7.5 V",
        "positive_cable_drop": "0.14 V", "positive_post_drop": "15 mV", "starter_stud_drop": "30 mV",
    }  # fmt: skip
    case = case_of(*(f"{name} {text}" for name, text in read.items()))
    for name in set(case.assessment.model.measurements) - read.keys():
        case.cannot(name)
    asked = []
    while case.verdict().action == "measure":
        name = case.verdict().measurement
        assert name is not None
        assert case.verdict().again
        asked.append(name)
        case.record(name, "7.7 V" if name == "battery_crank_voltage" else read[name])
    assert "battery_crank_voltage" in asked
    assert case.verdict().repair == "charge_battery"


def test_what_was_seen_while_it_cranked_well_is_waited_for_not_asked_again(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour silent", "occurrence intermittent")
    for _ in range(6):
        verdict = case.verdict()
        assert verdict.action != "measure" or verdict.measurement not in {
            entry.measurement for entry in case.entries[2:] if isinstance(entry, Reading)
        }
        if verdict.action == "measure" and verdict.measurement is not None:
            measurement = case.assessment.model.measurements[verdict.measurement]
            well = measurement.bands[0] if not measurement.numeric else "0 V"
            case.record(verdict.measurement, well, symptom=False)


def test_readings_taken_together_share_their_state_and_set_up(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "battery_rest_voltage 12.6 V", "battery_crank_voltage 10.4 V")
    verdict = case.verdict()
    assert verdict.action == "measure"
    assert verdict.together[0] == verdict.measurement
    states = {case.kb.measurements[name].state for name in verdict.together}
    assert len(states) == 1


def test_an_advisor_is_a_pure_function_of_the_assessment(case_of: CaseOf) -> None:
    assessment = case_of("crank_behaviour slow").assessment
    first, second = Advisor(assessment), Advisor(assessment)
    assert first.suggestions == second.suggestions
    assert first.verdict == second.verdict
    assert first.leading.cost_now == pytest.approx(second.leading.cost_now)


def test_readings_that_cost_no_minute_are_suggested_too(case_of: CaseOf) -> None:
    kb = case_of().kb
    free = {name: replace(m, minutes=0.0, setups=()) for name, m in kb.measurements.items()}
    case = Case(replace(kb, measurements=free))
    case.record("crank_behaviour", "slow")
    least = min(case.suggestions(), key=lambda s: s.minutes)
    assert (least.minutes, least.bits > 0.0) == (kb.settings["asking_minutes"], True)
    assert case.verdict().action == "measure"


# -- round trips ------------------------------------------------------------------------------


def asked_together(shipped: Knowledge, minutes: float, *read: tuple[str, str]) -> tuple[str, ...]:
    case = Case(shipped, {"system_voltage": 12}, round_trip=minutes)
    for name, value in read:
        case.record(name, value)
    return case.verdict().together


def test_a_dear_round_trip_asks_for_more_at_once(shipped: Knowledge) -> None:
    beside, away = (asked_together(shipped, minutes, ("crank_behaviour", "slow")) for minutes in (0, 40))
    assert len(beside) < len(away) <= 3


def test_a_round_trip_moves_no_verdict_but_which_reading_comes_next(shipped: Knowledge) -> None:
    near, far = (Case(shipped, round_trip=minutes) for minutes in (0.0, 120.0))
    for case in (near, far):
        case.record("crank_behaviour", "slow")
    assert {s.measurement: s.saves for s in near.suggestions()} == {
        s.measurement: s.saves for s in far.suggestions()
    }
    assert near.verdict().action == far.verdict().action == "measure"


def test_what_one_answer_may_forbid_is_not_asked_for_with_it(shipped: Knowledge) -> None:
    turning = shipped.measurements["positive_leg_drop"]
    assert "engine_turns_by_hand" in decided_by(shipped, turning)
    assert not decided_by(shipped, shipped.measurements["battery_rest_voltage"])


def test_the_proof_of_a_silent_starter_is_the_current_of_one_that_cranks(case_of: CaseOf) -> None:
    """A silent machine draws nothing; held against that, every good starter would fail its proof."""
    case = case_of("crank_behaviour silent", "start_terminal_voltage 12.2 V", "solenoid_contact_drop 0.05 V")
    proof = case.advisor.proof_reading("replace_starter")
    assert proof is not None
    assert proof.id == "crank_current"
    assert sound_band(proof, case.assessment.now.facts) == "none"
    assert sound_band(proof, case.advisor.facts_repaired) == "normal"
