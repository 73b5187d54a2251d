"""From entries to evidence: what is grouped, what counts, and of which machine it speaks."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.engine import Case
from crankpath.engine.bayes.evidence import Sum
from crankpath.engine.bayes.tables import Members
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.entries import Reading
from crankpath.engine.inference.model import forget_models

CaseOf = Callable[..., Case]


def used(case: Case, measurement: str) -> list[tuple[bool, int]]:
    """(symptom, stretch) of the pieces of one measurement that count."""
    return [
        (p.taken.symptom, p.taken.repair_epoch)
        for p in case.assessment.used
        if p.taken and p.taken.measurement.id == measurement
    ]


def elements(case: Case, *faults: str) -> Members:
    return tuple(i for fault in faults for i in case.assessment.model.elements_of[fault])


def test_repeats_are_one_piece_of_evidence_with_their_mean(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", *["positive_leg_drop 0.58 V", "positive_leg_drop 0.62 V"])
    (piece,) = [t for t in case.assessment.taken if t.measurement.id == "positive_leg_drop"]
    assert piece.value == pytest.approx(0.6, abs=0.002)
    assert len(piece.readings) == 2


def test_many_repeats_do_not_add_up_to_certainty(case_of: CaseOf) -> None:
    once = case_of("crank_behaviour slow", "positive_leg_drop 0.9 V")
    often = case_of("crank_behaviour slow", *["positive_leg_drop 0.9 V"] * 20)
    for one, many in zip(once.causes(), often.causes(), strict=True):
        assert many.probability == pytest.approx(one.probability, abs=0.01)


def test_of_cables_side_by_side_the_worst_counts(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", positive_cables=2)
    for cable, value in ((1, "0.2 V"), (2, "0.98 V"), (2, "1.02 V")):
        case.record("positive_cable_drop", value, cable=cable)
    (piece,) = [t for t in case.assessment.taken if t.measurement.id == "positive_cable_drop"]
    assert piece.value == pytest.approx(1.0, abs=0.02)
    assert len(piece.readings) == 3


def test_readings_with_the_symptom_there_and_away_are_kept_apart(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 0.9 V", "positive_leg_drop 0.1 V ~")
    assert sorted(used(case, "positive_leg_drop")) == [(False, 0), (True, 0)]


def test_what_a_fault_that_comes_and_goes_shows_in_several_ways_is_shared_out(case_of: CaseOf) -> None:
    lights = "lights_while_cranking"
    case = case_of("occurrence intermittent", f"{lights} dim", f"{lights} dim", f"{lights} go_out")
    (piece,) = [p for p in case.assessment.used if p.evidence.name == lights]
    assert piece.evidence.read.shares == pytest.approx((0.0, 2 / 3, 1 / 3))
    assert piece.band == "dim"


def test_a_corrected_history_is_the_one_that_counts(case_of: CaseOf) -> None:
    assert not case_of("occurrence intermittent", "occurrence every_time").assessment.intermittent


def test_a_normal_start_is_never_the_symptom(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour normal")
    (taken,) = case.assessment.taken
    assert not taken.symptom
    assert case.assessment.intermittent


@pytest.mark.parametrize(
    ("readings", "tries", "expected"),
    [
        (["crank_behaviour slow"], None, False),
        (["occurrence every_time"], None, False),
        (["occurrence intermittent"], None, True),
        (["positive_leg_drop 0.1 V ~"], None, True),
        ([], (2, 10), True),
        ([], (10, 10), False),
        ([], (0, 10), False),
    ],
)
def test_what_makes_a_complaint_one_that_comes_and_goes(
    case_of: CaseOf, readings: list[str], tries: tuple[int, int] | None, expected: bool
) -> None:
    case = case_of(*readings)
    if tries is not None:
        case.tries(*tries)
    assert case.assessment.intermittent is expected


def test_a_good_crank_after_a_cure_makes_no_complaint_intermittent(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    case.repaired("clean_positive_post", cured=True)
    case.record("positive_leg_drop", "0.1 V", symptom=False)
    assert not case.assessment.intermittent


def test_tries_are_counted_in_the_present_state_of_the_machine_only(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 0.1 V ~")
    case.tries(3, 8)
    assert case.assessment.tries == (3, 8)  # a reading is no try
    case.repaired("clean_positive_post", cured=False)
    assert case.assessment.tries == (0, 0)


def test_a_reading_on_a_good_crank_has_the_limits_of_a_machine_that_cranks(case_of: CaseOf) -> None:
    def band(value: str) -> str:
        case = case_of("occurrence intermittent", "crank_behaviour silent", f"relay_coil_voltage {value}")
        taken = [p for p in case.assessment.used if p.evidence.name == "relay_coil_voltage"]
        return taken[0].band

    assert band("10 V~") == "normal"  # the battery sags while it cranks
    assert band("10 V") == "low"  # silent: nothing sags, so something is lost on the way
    assert band("7 V~") == "low"


def test_what_repairs_took_away_adds_up_and_is_known_for_each_stretch(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    case.repaired("clean_positive_post", cured=False)
    case.repaired("clean_negative_post", cured=True)
    at_first, after_one, after_two = case.assessment.repair_states
    assert at_first.elements == frozenset()
    assert after_one.elements == set(elements(case, "positive_post_joint"))
    assert after_two.elements == set(elements(case, "positive_post_joint", "negative_post_joint"))
    assert after_one.left(elements(case, "positive_post_joint", "positive_cable")) == elements(
        case, "positive_cable"
    )
    assert case.assessment.repair_epoch == 2


def test_a_charge_hides_what_emptied_the_battery_until_nothing_else_is_left(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    case.repaired("charge_battery", cured=False)
    drain, contacts = elements(case, "parasitic_drain")[0], elements(case, "solenoid_contacts")[0]
    charged = case.assessment.repair_states[-1]
    assert charged.left((drain, contacts)) == (contacts,)
    assert charged.left((drain,)) == (drain,)  # soon empty again
    case.take_back()
    case.repaired("charge_battery", cured=True)
    assert case.assessment.repair_states[-1].left((drain,)) == ()


def test_a_reading_speaks_of_the_machine_as_it_was_when_it_was_taken(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 1.5 V")
    case.repaired("clean_positive_post", cured=False)
    case.record("positive_post_drop", "5 mV")
    assert sorted(used(case, "positive_post_drop")) == [(True, 0), (True, 1)]
    mended = {
        p.taken.repair_epoch: p.evidence.repaired.elements
        for p in case.assessment.used
        if p.taken and p.taken.measurement.id == "positive_post_drop"
    }
    assert mended[0] == frozenset()
    assert mended[1] == set(elements(case, "positive_post_joint"))


def test_facts_of_before_a_repair_do_not_linger_and_history_does(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour silent", "occurrence intermittent")
    assert case.assessment.now.facts.values["main_current"] == "absent"
    case.repaired("replace_relay", cured=False)
    assert not case.assessment.now.facts.known("main_current")
    assert case.assessment.now.facts.bands["occurrence"] == "intermittent"


def test_still_not_cured_is_a_piece_of_evidence_without_a_reading(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    assert all(p.taken for p in case.assessment.used)
    case.repaired("clean_positive_post", cured=False)
    assert [p.band for p in case.assessment.used if p.taken is None] == ["not cured"]
    case.take_back()
    case.repaired("clean_positive_post")
    assert all(p.taken for p in case.assessment.used)


def test_an_assessment_with_one_more_reading_leaves_the_first_alone(case_of: CaseOf) -> None:
    first = case_of("crank_behaviour slow").assessment
    second = Assessment(first.model, (*first.entries, Reading("positive_post_drop", 1.5, "1.5 V")))
    assert len(second.used) == 2
    assert len(first.used) == 1


def test_leaving_out_each_piece_gives_as_many_posteriors_as_pieces(case_of: CaseOf) -> None:
    assessment = case_of("crank_behaviour slow", "positive_post_drop 1.5 V").assessment
    behaviour, post = assessment.without
    names = [p.taken.measurement.id for p in assessment.used if p.taken]
    without = dict(zip(names, (behaviour, post), strict=True))
    alone = case_of("crank_behaviour slow").assessment.posterior
    assert without["positive_post_drop"].weights == pytest.approx(alone.weights)


def test_what_is_divided_out_is_as_if_it_had_never_been_read(case_of: CaseOf) -> None:
    """Readings by themselves, of one crank, and of one sum."""
    case = case_of("occurrence intermittent", "crank_behaviour slow", "battery_rest_voltage 12.5 V",
                   "positive_leg_drop 1.9 V", "positive_post_drop 1.1 V")  # fmt: skip
    crank = case.next_crank
    for name in ("negative_leg_drop", "battery_crank_voltage"):
        case.record(name, 0.2 if name == "negative_leg_drop" else 10.4, symptom=False, crank=crank)
    assessment = case.assessment
    assert any(len(one.factors) > 1 or isinstance(one.factors[0], Sum) for one in assessment.posterior.cranks)
    for piece, divided in zip(assessment.used, assessment.without, strict=True):
        others = assessment.posterior_of([other for other in assessment.used if other is not piece])
        assert divided.weights == pytest.approx(others.weights)
        assert divided.evidence_chance == pytest.approx(others.evidence_chance)


def test_a_case_that_goes_on_has_the_posterior_of_one_read_at_once(case_of: CaseOf) -> None:
    readings = ("crank_behaviour slow", "positive_leg_drop 1.9 V", "negative_leg_drop 0.1 V")
    going_on = case_of(readings[0])
    for reading in readings[1:]:
        going_on.causes()
        name, _, value = reading.partition(" ")
        going_on.record(name, value)
    found = going_on.assessment.posterior.weights
    forget_models()
    assert case_of(*readings).assessment.posterior.weights == found


def presence_of(case: Case, name: str) -> float:
    (piece,) = [p for p in case.assessment.used if p.taken and p.taken.measurement.id == name]
    return piece.evidence.symptom_probability


def test_where_nothing_is_cranked_the_fault_is_there_as_often_as_the_complaint(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent", "pull_in_resistance 0.2 ohm")
    assert presence_of(case, "pull_in_resistance") == 0.25  # one try in four, before any is counted
    case.tries(3, 3)
    assert presence_of(case, "pull_in_resistance") == pytest.approx(4 / 7)
    assert presence_of(case, "occurrence") == 1.0  # told of the past
    for _ in range(4):
        case.record("positive_post_drop", "20 mV", symptom=False)
        case.tries(0, 3, waiting=True)
    assert presence_of(case, "pull_in_resistance") == pytest.approx(4 / 7)  # nobody counted these
    assert presence_of(case, "positive_post_drop") == 0.0  # seen to be away


def test_a_fault_that_is_always_there_is_there_at_rest(case_of: CaseOf) -> None:
    assert presence_of(case_of("pull_in_resistance 0.2 ohm"), "pull_in_resistance") == 1.0


def test_good_cranks_after_a_cure_say_nothing_of_how_often_it_failed(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent", "pull_in_resistance 40 ohm")
    case.tries(2, 4)
    before = presence_of(case, "pull_in_resistance")
    case.repaired("replace_solenoid", cured=True)
    case.tries(0, 9)
    assert presence_of(case, "pull_in_resistance") == before == 0.375
