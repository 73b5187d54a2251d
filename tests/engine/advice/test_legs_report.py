"""Legs split into cable as built and excess, and what a repair gives back."""

from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.advice.legs_report import sound_reading
from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.physics.battery import rating_resistance

CABLES = {
    "positive": {"gauge": "2/0 AWG", "length": "3 m"},
    "negative": {"gauge": "70 mm2", "length": "6 ft"},
}


def case_of(kb: Knowledge, *readings: str, cables: object = CABLES, volts: int = 12) -> Case:
    case = Case(kb, {"system_voltage": volts, **({"cables": cables} if cables else {})})
    for reading in readings:
        measurement, _, value = reading.partition(" ")
        case.record(measurement, value)
    return case


def test_a_leg_is_split_into_cable_as_built_and_excess(kb: Knowledge) -> None:
    case = case_of(kb, "crank_behaviour slow", "positive_leg_drop 1.2 V", "crank_current 500 A")
    (leg,) = case.leg_splits()
    # 2/0 AWG has 0.2557 mohm/m at 20 degC (ASTM B258 geometry, IACS copper): 3 m at 500 A drop 0.3836 V.
    assert leg.split is not None
    assert leg.split.as_built == pytest.approx(0.3836, abs=1e-3)
    assert leg.split.as_built + leg.split.excess == pytest.approx(1.2)
    assert leg.watts == pytest.approx(leg.split.excess * 500)
    assert leg.ohms == pytest.approx(0.0024)
    assert leg.remark is None


def test_without_gauge_or_current_a_sentence_says_what_is_missing(kb: Knowledge) -> None:
    (bare,) = case_of(kb, "crank_behaviour slow", "positive_leg_drop 1.2 V", cables=None).leg_splits()
    assert bare.split is None
    assert bare.watts is None
    assert bare.remark is not None
    assert "cranking current" in bare.remark
    assert "gauge and length of the positive cable" in bare.remark
    (loaded,) = case_of(
        kb, "crank_behaviour slow", "positive_leg_drop 1.2 V", "crank_current 500 A", cables=None
    ).leg_splits()
    assert loaded.watts == pytest.approx(600.0)
    assert loaded.remark == (
        "To split positive leg drop into positive cable and joints, give gauge and length of the "
        "positive cable."
    )


def test_without_current_flowing_a_drop_tells_nothing_of_the_leg(kb: Knowledge) -> None:
    (leg,) = case_of(kb, "crank_behaviour silent", "positive_leg_drop 0", "crank_current 0 A").leg_splits()
    assert leg.split is None
    assert leg.remark is not None
    assert leg.remark.startswith("No current flows")


def test_less_than_the_cable_alone_would_drop_is_told(kb: Knowledge) -> None:
    (leg,) = case_of(
        kb, "crank_behaviour slow", "positive_leg_drop 0.1 V", "crank_current 500 A"
    ).leg_splits()
    assert leg.watts == 0.0
    assert leg.remark is not None
    assert "check its gauge and length" in leg.remark


@pytest.mark.parametrize("volts", [12, 24])
def test_the_limit_of_a_leg_comes_from_the_cable_as_built(kb: Knowledge, volts: int) -> None:
    readings = ("crank_behaviour slow", "positive_leg_drop 0.3 V", "crank_current 400 A")
    limits = {}
    for length in ("1 m", "6 m"):
        cables = {"positive": {"gauge": "2/0 AWG", "length": length}}
        (leg,) = case_of(kb, *readings, cables=cables, volts=volts).leg_splits()
        assert "as built" in leg.because
        limits[length] = leg.limits
    (unknown,) = case_of(kb, *readings, cables=None, volts=volts).leg_splits()
    assert limits["1 m"][2] < limits["6 m"][2]
    assert limits["1 m"] != unknown.limits != limits["6 m"]


def test_two_cables_side_by_side_halve_what_one_drops_as_built(kb: Knowledge) -> None:
    splits = []
    for count in (1, 2):
        case = Case(kb, {"positive_cables": count, "cables": CABLES})
        for measurement, value in (
            ("crank_behaviour", "slow"),
            ("positive_leg_drop", "1 V"),
            ("crank_current", "400 A"),
        ):
            case.record(measurement, value)
        (leg,) = case.leg_splits()
        assert leg.split is not None
        splits.append(leg.split.as_built)
    assert splits[1] == pytest.approx(splits[0] / 2)


def test_only_what_was_read_since_the_last_repair_and_with_the_symptom_counts(kb: Knowledge) -> None:
    case = case_of(kb, "crank_behaviour slow", "positive_leg_drop 1.2 V", "crank_current 500 A")
    case.repaired("clean_positive_post", cured=False)
    assert case.leg_splits() == ()
    case.record("positive_leg_drop", "0.5 V", symptom=False)
    assert case.leg_splits() == ()


def test_a_cleaned_joint_gives_back_its_whole_drop_and_speed_by_the_motor_line(kb: Knowledge) -> None:
    case = case_of(
        kb,
        "crank_behaviour slow",
        "positive_post_drop 0.9 V",
        "starter_crank_voltage 9.0 V",
        "crank_speed 90 rpm",
    )
    gain = case.repair_gain("clean_positive_post")
    assert gain is not None
    assert gain.volts == pytest.approx(0.9)
    assert gain.speed == pytest.approx(9.0)  # speed ~ V - I * R; with R = 0, 90 rpm * 0.9 / 9.0
    assert gain.missing == ()


def test_the_starter_voltage_may_come_from_its_sum(kb: Knowledge) -> None:
    read = ("battery_crank_voltage 11.0 V", "positive_leg_drop 1.2 V", "negative_leg_drop 0.2 V")
    case = case_of(kb, "crank_behaviour slow", *read, "positive_post_drop 0.96 V", "crank_speed 100 rpm")
    gain = case.repair_gain("clean_positive_post")
    assert gain is not None
    assert gain.speed == pytest.approx(100 * 0.96 / 9.6)


def test_a_cable_gives_back_what_exceeds_it_as_built(kb: Knowledge) -> None:
    case = case_of(kb, "crank_behaviour slow", "positive_cable_drop 1.5 V", "crank_current 500 A")
    gain = case.repair_gain("replace_positive_cable")
    assert gain is not None
    assert gain.volts == pytest.approx(1.5 - 0.3836, abs=1e-3)
    assert len(gain.missing) == 2
    assert gain.speed is None
    unknown = case_of(kb, "crank_behaviour slow", "positive_cable_drop 1.5 V", cables=None)
    told = unknown.repair_gain("replace_positive_cable")
    assert told is not None
    assert told.volts is None
    assert "gauge and length of the positive cable" in told.missing[0]


def test_the_verdicts_repair_is_meant_by_default(kb: Knowledge) -> None:
    case = case_of(
        kb, "crank_behaviour slow", "positive_post_drop 1.9 V", "positive_post_inspection corroded"
    )
    gain = case.repair_gain()
    assert gain is not None
    assert (gain.repair, gain.volts) == ("clean_positive_post", pytest.approx(1.9))


def test_a_repair_that_no_drop_proves_says_so(kb: Knowledge) -> None:
    case = case_of(kb, "crank_behaviour slow")
    gain = case.repair_gain("charge_battery")
    assert gain is not None
    assert gain.missing == ("No drop tells what this repair gives back.",)
    with pytest.raises(UnknownName, match="clean_positive_post"):
        case.repair_gain("clean_positive_posts")


def test_the_inside_of_the_battery_is_held_against_its_rating(kb: Knowledge) -> None:
    case = Case(kb, {"system_voltage": 12, "cca": 700, "air_temperature": -18})
    for measurement, value in (
        ("crank_behaviour", "slow"), ("battery_rest_voltage", "12.6"), ("battery_crank_voltage", "10.6"),
        ("crank_current", "400 A"),
    ):  # fmt: skip
        case.record(measurement, value)
    report = case.battery_report()
    assert report is not None
    assert report.ohms == pytest.approx(2.0 / 400)
    # At -18 degC a battery of 700 A by its rating holds 7.2 V at 700 A (SAE J537).
    assert report.rated == pytest.approx(rating_resistance(700, -18.0))


def test_without_the_current_or_the_rating_the_inside_is_not_judged(kb: Knowledge) -> None:
    readings = ("crank_behaviour slow", "battery_rest_voltage 12.6", "battery_crank_voltage 10.6")
    assert case_of(kb, *readings).battery_report() is None
    report = case_of(kb, *readings, "crank_current 400 A").battery_report()
    assert report is not None
    assert report.rated is None


def test_a_sound_reading_is_of_this_machine(kb: Knowledge) -> None:
    twelve, more = (sound_reading(case_of(kb, volts=v).assessment, "battery_rest_voltage") for v in (12, 24))
    assert twelve is not None
    assert more == pytest.approx(2 * twelve, rel=0.05)
    assert sound_reading(case_of(kb).assessment, "lights_while_cranking") is None
