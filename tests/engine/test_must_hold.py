"""What the engine must hold on the shipped knowledge, a test a sentence."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from crankpath.engine import Case
from crankpath.engine.errors import CaseError, DoubtfulReading, ReadingError, UnknownName
from crankpath.engine.knowledge.records import Knowledge

CaseOf = Callable[..., Case]
Chances = dict[str | None, float]

READINGS = (
    "crank_behaviour slow",
    "positive_leg_drop 0.62 V",
    "positive_leg_drop 0.58 V",
    "negative_leg_drop 0.21 V",
    "battery_crank_voltage 10.4 V",
    "crank_current 480 A",
    "battery_rest_voltage 12.5 V",
    "positive_post_drop 15 mV ~",
    "starter_crank_voltage 9.5 V",
    "occurrence intermittent",
)


def chances(case: Case) -> Chances:
    return {cause.fault: cause.probability for cause in case.causes()}


def odds(case: Case, fault: str) -> float:
    chance = chances(case)[fault]
    return chance / (1.0 - chance)


def factor(before: Case, after: Case, fault: str) -> float:
    return odds(after, fault) / odds(before, fault)


# -- order, taking back ---------------------------------------------------------------


@limits(max_examples=12)
@given(order=st.permutations(READINGS))
def test_the_order_of_readings_does_not_change_the_ranking(case_of: CaseOf, order: list[str]) -> None:
    first, other = case_of(*READINGS), case_of(*order)
    assert [cause.fault for cause in other.causes()] == [cause.fault for cause in first.causes()]
    assert chances(other) == pytest.approx(chances(first), abs=1e-12)


def test_the_order_of_readings_does_not_change_warnings_residuals_and_advice(case_of: CaseOf) -> None:
    first = case_of(*READINGS[:4])
    for order in list(permutations(READINGS[:4]))[::5]:
        other = case_of(*order)
        assert sorted(other.warnings()) == sorted(first.warnings())
        assert [s.measurement for s in other.suggestions()] == [s.measurement for s in first.suggestions()]
        assert replace(other.verdict(), probability=0.0) == replace(first.verdict(), probability=0.0)
        assert other.verdict().probability == pytest.approx(first.verdict().probability, abs=1e-12)


@limits(max_examples=12)
@given(kept=st.lists(st.sampled_from(READINGS), max_size=4, unique=True), extra=st.sampled_from(READINGS))
def test_recording_and_taking_back_leaves_exactly_what_was_before(
    case_of: CaseOf, kept: list[str], extra: str
) -> None:
    case = case_of(*kept)
    causes, entries = case.causes(), case.entries
    measurement, _, value = extra.partition(" ")
    entry = case.record(measurement, value.rstrip("~ "))
    assert case.take_back(entry) is entry
    assert case.causes() == causes
    assert case.entries == entries


def test_taking_back_leaves_suggestions_warnings_and_verdict_as_they_were(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour silent", "lights_while_cranking steady")
    before = case.suggestions(), case.warnings(), case.verdict(), case.conflict(), case.residuals()
    case.record("start_terminal_voltage", "0 V")
    case.cannot("crank_current")
    case.repaired("replace_relay", cured=False)
    for _ in range(3):
        case.take_back()
    assert (case.suggestions(), case.warnings(), case.verdict(), case.conflict(), case.residuals()) == before


# -- what texts mean -------------------------------------------------------------------


@pytest.mark.parametrize(
    "drop", ["positive_leg_drop", "negative_leg_drop", "positive_post_drop", "solenoid_contact_drop"]
)
def test_reversed_leads_change_nothing(case_of: CaseOf, drop: str) -> None:
    right, reversed_ = case_of(f"{drop} 0.45 V"), case_of(f"{drop} -0.45 V")
    assert reversed_.causes() == right.causes()
    assert reversed_.entries[0].note is not None  # the sign is not dropped silently


@pytest.mark.parametrize("text", ["0.35", ".35 V", "350mV", "350 mV", "0,35 V", "-0.35", "0.35 volts", 0.35])
def test_a_third_of_a_volt_is_understood_however_it_is_written(case_of: CaseOf, text: str | float) -> None:
    case = case_of("crank_behaviour slow")
    assert case.record("positive_leg_drop", text).value == pytest.approx(0.35)


def test_overload_is_an_open_winding_and_no_voltage(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour chatter")
    assert case.record("hold_in_resistance", "OL").value == float("inf")
    with pytest.raises(DoubtfulReading, match="over its range"):
        case.record("positive_leg_drop", "OL")
    assert len(case.entries) == 2


@pytest.mark.parametrize("typed", ["310", 310, "310 V"])
def test_310_on_a_drop_at_12_volts_is_asked_about_not_taken(case_of: CaseOf, typed: str | int) -> None:
    case = case_of("crank_behaviour slow", system_voltage=12)
    with pytest.raises(DoubtfulReading) as doubt:
        case.record("positive_leg_drop", typed)
    assert doubt.value.suggestion == "310 mV"
    assert len(case.entries) == 1
    assert case.record("positive_leg_drop", doubt.value.suggestion).value == pytest.approx(0.31)


@pytest.mark.parametrize(
    ("measurement", "value", "error", "told"),
    [
        ("positive_leg_dorp", "0.3 V", UnknownName, "positive_leg_drop"),
        ("battery_rest_voltage", "61 V", DoubtfulReading, "not possible"),
        ("crank_speed", "9000 rpm", DoubtfulReading, "not possible"),
        ("positive_leg_drop", "0.3 A", ReadingError, "volts"),
        ("positive_leg_drop", "pretty low", ReadingError, "positive leg drop|number|understood"),
        ("positive_leg_drop", float("nan"), ReadingError, "no figure"),
        ("crank_behaviour", "purrs", ReadingError, "silent"),
        ("ground_strap_drop", "0.1 V", CaseError, "no ground strap"),
    ],
)
def test_what_cannot_be_is_one_sentence_and_nothing_is_recorded(
    case_of: CaseOf, measurement: str, value: str | float, error: type[Exception], told: str
) -> None:
    case = case_of("crank_behaviour slow")
    before = case.causes()
    with pytest.raises(error, match=told) as slip:
        case.record(measurement, value)
    assert "\n" not in str(slip.value)
    assert str(slip.value).endswith((".", "?"))
    assert len(case.entries) == 1
    assert case.causes() == before


def test_unknown_faults_repairs_and_tries_are_one_sentence(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    with pytest.raises(UnknownName, match="clean_positive_post"):
        case.repaired("clean_positiv_post")
    with pytest.raises(UnknownName, match="positive_cable"):
        case.why("positive_cabel")
    with pytest.raises(UnknownName, match="crank_current"):
        case.cannot("crank_curent")
    with pytest.raises(CaseError, match="3 failures in 2 tries"):
        case.tries(3, 2)
    assert len(case.entries) == 1


# -- readings without load, readings with the symptom away, readings at a limit ----------


@pytest.mark.parametrize("volts", [12, 24])
@pytest.mark.parametrize(
    ("drop", "fault"),
    [
        ("positive_leg_drop", "positive_cable"),
        ("positive_leg_drop", "positive_post_joint"),
        ("positive_cable_drop", "positive_cable"),
        ("negative_leg_drop", "negative_cable"),
        ("positive_post_drop", "positive_post_joint"),
    ],
)
def test_an_open_control_side_never_clears_a_cable(
    case_of: CaseOf, volts: int, drop: str, fault: str
) -> None:
    dead = case_of("crank_behaviour silent", "start_terminal_voltage 0 V", system_voltage=volts)
    read = dead.what_if(drop, "0 V")
    assert 1 / 1.5 < factor(dead, read, fault) < 1.5
    assert any(
        "No main current flows" in warning and "proves nothing" in warning for warning in read.warnings()
    )


def test_full_voltage_on_a_dead_control_side_still_proves_the_open_lead(case_of: CaseOf) -> None:
    dead = case_of("crank_behaviour silent", "start_terminal_voltage 0 V")
    assert factor(dead, dead.what_if("positive_cable_drop", "12.4 V"), "positive_cable") > 10


@pytest.mark.parametrize("behaviour", ["silent", "single_click", "slow"])
@pytest.mark.parametrize("volts", [12, 24])
@pytest.mark.parametrize(
    ("measurement", "part", "fault"),
    [
        ("positive_leg_drop", 0.1, "positive_post_joint"),
        ("positive_leg_drop", 0.1, "starter_stud_joint"),
        ("negative_leg_drop", 0.1, "negative_post_joint"),
        ("negative_leg_drop", 0.1, "starter_mount_ground"),
        ("positive_post_drop", 0.01, "positive_post_joint"),
        ("negative_post_drop", 0.01, "negative_post_joint"),
        ("starter_stud_drop", 0.01, "starter_stud_joint"),
        ("starter_crank_voltage", 10.4, "positive_post_joint"),
    ],
)
def test_a_reading_with_the_symptom_away_moves_no_joint_by_a_factor_of_two(
    case_of: CaseOf, behaviour: str, volts: int, measurement: str, part: float, fault: str
) -> None:
    case = case_of(f"crank_behaviour {behaviour}", "occurrence intermittent", system_voltage=volts)
    away = case.what_if(measurement, f"{part * volts / 12:g} V", symptom=False)
    assert 0.5 < factor(case, away, fault) < 2.0


INSIDE = {"positive_post_drop", "positive_cable_drop", "starter_stud_drop", "positive_post_inspection"}


@pytest.mark.parametrize(
    ("volts", "duty", "limit"), [(12, "heavy", 0.4), (24, "heavy", 0.8), (12, "light", 0.3)]
)
def test_a_leg_just_inside_its_limit_is_looked_into_before_it_passes(
    case_of: CaseOf, volts: int, duty: str, limit: float
) -> None:
    machine = {"system_voltage": volts, "duty": duty}
    good = (f"battery_crank_voltage {0.9 * volts:g} V", f"negative_leg_drop {0.01 * volts:g} V")
    unexplained = case_of("crank_behaviour slow", *good, **machine)
    inside = unexplained.what_if("positive_leg_drop", f"{0.95 * limit:g} V")
    assert INSIDE & {s.measurement for s in inside.suggestions()[:4]}
    passed = unexplained.what_if("positive_leg_drop", f"{0.1 * limit:g} V")
    assert passed.verdict().measurement not in INSIDE
    for fault in ("positive_post_joint", "positive_cable", "starter_stud_joint"):
        assert chances(inside)[fault] > 5 * chances(passed)[fault]
    alone = case_of("crank_behaviour slow", f"positive_leg_drop {0.95 * limit:g} V", **machine)
    assert INSIDE & {s.measurement for s in alone.suggestions()[:3]}


# -- saying why --------------------------------------------------------------------------


def test_every_cause_says_why_with_rule_and_source(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.6 V", "lights_while_cranking dim")
    for cause in case.causes()[:10]:
        reasons = case.why(cause.fault)
        assert {reason.measurement for reason in reasons} == {e.measurement for e in case.entries}
        for reason in reasons:
            if reason.rule is not None:
                rule = case.kb.rules[reason.rule]
                assert reason.because == rule.because != ""
                assert set(reason.sources) <= set(case.kb.references)
                assert reason.sources
    assert any(reason.rule for reason in case.why(case.causes()[0].fault))


def test_every_suggestion_says_what_the_likeliest_causes_predict_and_by_which_rule(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "battery_crank_voltage 10.8 V")
    for suggestion in case.suggestions():
        predictions = case.predictions(suggestion.measurement)
        assert len(predictions) == 3
        for prediction in predictions:
            assert sum(prediction.chances.values()) == pytest.approx(1.0)
            assert bool(prediction.because) is (prediction.rule is not None)
            assert bool(prediction.sources) is (prediction.rule is not None)
    ruled = [p.rule for s in case.suggestions()[:5] for p in case.predictions(s.measurement)]
    assert any(ruled)


def test_every_verdict_says_why_and_what_its_faults_rest_on(case_of: CaseOf) -> None:
    measure = case_of("crank_behaviour slow").verdict()
    assert measure.action == "measure"
    assert "battery voltage while cranking is expected to save" in measure.because
    case = case_of("crank_behaviour silent", "gear_selector_trial cranks_in_other_position", *CONTROL)
    repair = case.verdict()
    assert repair.action == "repair"
    assert repair.because
    strongest = case.why(repair.faults[0])[0]
    assert strongest.factor > 1.0
    assert strongest.rule in case.kb.rules
    assert strongest.sources


CONTROL = ("key_switch_output_voltage 12.5 V", "interlock_output_voltage 0 V")
STUCK = (
    "crank_behaviour chatter",
    "occurrence every_time",
    "lights_while_cranking steady",
    "battery_capacity_percent 100 %",
    "battery_crank_voltage 10.8 V",
    "starter_crank_voltage 10.3 V",
    "crank_current 620 A",
    "positive_leg_drop 0.15 V",
    "negative_leg_drop 0.14 V",
    "solenoid_contact_drop 0.08 V",
    "start_terminal_voltage 10.4 V",
    "hold_in_resistance 1.1 ohm",
    "solenoid_bypass cranks",
    "engine_turns_by_hand freely",
    "starter_no_load_current 80 A",
    "starter_no_load_speed 8000 rpm",
    "crank_speed 170 rpm",
)


def test_readings_that_nothing_listed_explains_end_in_stuck_and_say_so(case_of: CaseOf) -> None:
    verdict = case_of(*STUCK, engine_litres=7).verdict()
    assert verdict.action == "stuck"
    assert verdict.repair is None
    assert "nothing this knowledge base lists explains the readings" in verdict.because
    assert verdict.measurement is not None
    assert "again" in verdict.because


# -- readings that do not fit --------------------------------------------------------------


def test_a_sum_that_fails_is_said_at_once_with_the_reading_most_likely_wrong(case_of: CaseOf) -> None:
    dragging = ("crank_behaviour slow", "crank_current 900 A")  # slow whatever the ground leg is like
    case = case_of(*dragging, "battery_crank_voltage 11.0 V", "starter_crank_voltage 10.4 V")
    fits = case.what_if("positive_leg_drop", "0.3 V")
    assert fits.residuals() == ()
    assert fits.what_if("negative_leg_drop", "0.3 V").residuals() == ()
    (wrong,) = fits.what_if("negative_leg_drop", "2.6 V").residuals()
    assert wrong.balance.id == "main_circuit"
    assert wrong.residual == pytest.approx(11.0 - 0.3 - 10.4 - 2.6)
    assert wrong.suspect == "negative_leg_drop"


def test_the_parts_of_a_leg_add_up_to_the_leg(case_of: CaseOf) -> None:
    parts = ("positive_post_drop 60 mV", "starter_stud_drop 60 mV", "positive_cable_drop 1.3 V")
    voltages = ("battery_crank_voltage 11 V", "starter_crank_voltage 10.7 V")  # leave the leg 0.3 V at most
    case = case_of("crank_behaviour slow", "positive_leg_drop 0.25 V", *parts, *voltages)
    (wrong,) = case.residuals()
    assert (wrong.balance.id, wrong.suspect) == ("positive_leg_parts", "positive_cable_drop")
    assert case_of("crank_behaviour slow", "positive_leg_drop 1.42 V", *parts).residuals() == ()


def test_the_start_terminal_cannot_exceed_its_feed(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour silent", "relay_output_voltage 2 V", "start_terminal_voltage 12.3 V")
    (wrong,) = case.residuals()
    assert wrong.residual == pytest.approx(10.3)
    below = case_of("crank_behaviour silent", "relay_output_voltage 12.3 V", "start_terminal_voltage 2 V")
    assert below.residuals() == ()


def test_a_reading_implied_by_the_others_is_a_check_of_them_and_no_new_evidence(case_of: CaseOf) -> None:
    case = case_of(
        "crank_behaviour slow",
        "battery_crank_voltage 11 V",
        "positive_leg_drop 0.3 V",
        "negative_leg_drop 1.5 V",
    )
    assert "starter_crank_voltage" not in {s.measurement for s in case.suggestions()}
    checked = case.what_if("starter_crank_voltage", "9.2 V")
    assert checked.causes() == case.causes()
    (piece,) = [w for w in checked.assessment.weighed if not w.used]
    assert piece.why_not is not None
    assert "implied" in piece.why_not


def test_a_conflict_is_named_with_the_reading_whose_removal_clears_it(case_of: CaseOf) -> None:
    readings = (
        "crank_behaviour silent",
        "crank_current 500 A",
        "start_terminal_voltage 0 V",
        "interlock_output_voltage 0 V",
    )
    conflict = case_of(*readings).conflict()
    assert conflict is not None
    assert conflict.bits > 3.0
    assert conflict.clears is not None
    kept = [r for r in readings if not r.startswith(conflict.clears + " ")]
    assert len(kept) == len(readings) - 1
    assert case_of(*kept).conflict() is None


def test_readings_that_agree_are_no_conflict(case_of: CaseOf) -> None:
    assert (
        case_of("crank_behaviour slow", "positive_post_drop 1.6 V", "positive_leg_drop 1.7 V").conflict()
        is None
    )


@pytest.mark.parametrize(
    "readings", [(), ("crank_behaviour slow",), ("crank_behaviour slow", "positive_post_drop 1.6 V")]
)
def test_the_bound_of_what_was_left_out_is_reported_and_not_exceeded_by_the_sum(
    case_of: CaseOf, readings: tuple[str, ...]
) -> None:
    case = case_of(*readings)
    causes = case.causes()
    assert {cause.bound for cause in causes} == {case.assessment.posterior.bound}
    assert 0.0 < causes[0].bound < 1.0
    assert all(0.0 <= cause.probability <= 1.0 for cause in causes)


# -- repairs ---------------------------------------------------------------------------------


def test_a_repair_that_did_not_cure_throws_nothing_away(case_of: CaseOf, kb: Knowledge) -> None:
    case = case_of("crank_behaviour slow", "negative_leg_drop 2.6 V", "negative_post_drop 1.3 V")
    before = len(case.assessment.used)
    case.repaired("clean_negative_post", cured=False)
    assert len(case.assessment.used) >= before + 1
    assert {w.taken.measurement.id for w in case.assessment.used if w.taken} == {
        "crank_behaviour",
        "negative_leg_drop",
        "negative_post_drop",
    }
    assert case.verdict().measurement == "crank_behaviour"  # first what the machine does now


def test_after_a_repair_readings_speak_of_what_is_left_and_a_second_fault_is_found(case_of: CaseOf) -> None:
    case = case_of(
        "crank_behaviour slow",
        "negative_leg_drop 2.6 V",
        "negative_post_drop 1.3 V",
        "negative_cable_drop 0.1 V",
    )
    case.repaired("clean_negative_post", cured=False)
    case.record("crank_behaviour", "slow")
    first = chances(case)["negative_post_joint"]
    case.record("negative_post_drop", "5 mV")  # the post is clean now: no word against what it was
    assert chances(case)["negative_post_joint"] > 0.8 * first
    case.record("negative_leg_drop", "1.3 V")
    case.record("starter_mount_drop", "1.2 V")
    verdict = case.verdict()
    assert verdict.repair == "clean_starter_mount"
    assert chances(case)["starter_mount_ground"] > 0.8


def test_a_cure_confirms_the_fault_and_a_failure_speaks_against_it(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_inspection corroded")
    before = chances(case)["positive_post_joint"]
    cured = case_of("crank_behaviour slow", "positive_post_inspection corroded")
    cured.repaired("clean_positive_post", cured=True)
    assert chances(cured)["positive_post_joint"] > before
    failed = case_of("crank_behaviour slow", "positive_post_inspection corroded")
    failed.repaired("clean_positive_post", cured=False)
    assert chances(failed)["positive_post_joint"] < before
    unknown = case_of("crank_behaviour slow", "positive_post_inspection corroded")
    unknown.repaired("clean_positive_post")
    assert chances(unknown)["positive_post_joint"] == pytest.approx(before)


def test_a_repair_that_failed_may_have_been_bad_work(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 2.2 V", "positive_post_inspection loose")
    case.repaired("clean_positive_post", cured=False)
    case.record("crank_behaviour", "slow")
    case.record("positive_post_drop", "2.1 V")
    assert case.verdict().repair == "clean_positive_post"
