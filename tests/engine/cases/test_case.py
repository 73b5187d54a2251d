"""The library's face: entries in, answers out, and everything a function of the entries."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.engine import Case
from crankpath.engine.errors import CaseError, EquipmentError, UnknownName
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Knowledge

CaseOf = Callable[..., Case]


def test_the_example_of_the_contract_runs(kb: Knowledge) -> None:
    case = Case(kb, equipment={"system_voltage": 12, "disconnect_switch": "positive"})
    case.record("crank_behaviour", "slow")
    case.record("positive_leg_drop", "820 mV")
    case.record("positive_leg_drop", "40 mV", symptom=False)
    case.cannot("crank_current")
    causes = case.causes()
    assert [c.probability for c in causes] == sorted((c.probability for c in causes), reverse=True)
    assert {c.fault for c in causes} == {None, *case.assessment.model.faults}
    assert all(c.repair == kb.faults[c.fault].repair for c in causes if c.fault)
    assert "crank_current" not in {s.measurement for s in case.suggestions()}
    assert case.verdict().action in ("measure", "repair", "watch", "stuck")
    case.repaired("clean_positive_post", cured=False)
    assert len(case.entries) == 5


def test_a_reading_is_kept_as_typed_and_as_understood(case_of: CaseOf) -> None:
    reading = case_of("crank_behaviour slow").record("positive_leg_drop", "-0,35 V", symptom=False, cable=2)
    assert reading == Reading("positive_leg_drop", 0.35, "-0,35 V", False, 2, reading.note)
    assert reading.note is not None


def test_understanding_a_reading_records_nothing(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    assert case.read("positive_leg_drop", "0.3 V").value == 0.3
    assert len(case.entries) == 1


def test_readings_of_one_crank_share_its_number_and_the_next_crank_has_another(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    assert case.next_crank == 1
    crank = case.next_crank
    told = {"positive_leg_drop": "0.3 V", "crank_behaviour": "slow"}
    taken = [case.record(name, text, crank=crank) for name, text in told.items()]
    assert [reading.crank for reading in taken] == [1, 1]
    assert case.next_crank == 2
    assert case.record("positive_leg_drop", "0.3 V").crank is None


def test_what_if_leaves_the_case_as_it_is(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    before = case.causes()
    other = case.what_if("positive_post_drop", "2 V")
    assert other.causes()[0].fault == "positive_post_joint"
    assert len(other.entries) == 2
    assert case.entries == other.entries[:1]
    assert case.causes() == before


def test_an_entry_is_taken_back_by_itself_or_by_its_place(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_leg_drop 0.3 V", "negative_leg_drop 0.2 V")
    first, second, third = case.entries
    assert case.take_back(second) is second
    assert case.entries == (first, third)
    assert case.take_back(0) is first
    assert case.take_back() is third
    with pytest.raises(CaseError, match="no such entry"):
        case.take_back()


def test_of_two_equal_entries_the_one_that_is_meant_goes(case_of: CaseOf) -> None:
    case = case_of("positive_leg_drop 0.3 V", "crank_behaviour slow", "positive_leg_drop 0.3 V")
    last = case.entries[2]
    case.take_back(last)
    assert [e.measurement for e in case.entries] == ["positive_leg_drop", "crank_behaviour"]


def test_causes_and_suggestions_are_lists_of_ones_own(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow")
    case.causes().clear()
    case.suggestions().clear()
    assert case.causes()
    assert case.suggestions()


@pytest.mark.parametrize(
    ("equipment", "told"),
    [
        ({"system_volts": 12}, "system_voltage"),
        ({"system_voltage": 48}, "12, 24"),
        ({"air_temperature": 300}, "-60 to 60"),
        ({"engine_litres": "big"}, "no number in L"),
        ({"cables": {"positive": {"gauge": "2/0 AWG"}}}, "needs gauge and length"),
        ({"cables": {"positive": {"gauge": "71 mm2", "length": "3 m"}}}, "cables, positive: There is no"),
        ({"cables": {"positive": {"gauge": "2/0 AWG", "length": "3"}}}, "with its unit"),
    ],
)
def test_a_machine_that_cannot_be_is_told_in_a_sentence(
    kb: Knowledge, equipment: dict[str, object], told: str
) -> None:
    with pytest.raises(EquipmentError, match=told):
        Case(kb, equipment)


def test_a_reading_of_a_part_that_is_not_there_is_told_as_such(case_of: CaseOf) -> None:
    case = case_of(start_relay=False)
    with pytest.raises(CaseError, match="This machine has no relay contact drop"):
        case.record("relay_contact_drop", "0.1 V")
    with pytest.raises(UnknownName, match="relay_contact_drop"):
        case.record("relay_contacts_drop", "0.1 V")


def test_predictions_are_of_readings_that_exist(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", ground_path="direct")
    with pytest.raises(CaseError, match="no ground strap"):
        case.predictions("ground_strap_drop")


def test_more_failures_seen_mean_fewer_good_cranks_prove_a_repair(case_of: CaseOf) -> None:
    rare, often = case_of("occurrence intermittent"), case_of("occurrence intermittent")
    rare.tries(1, 10)
    often.tries(8, 10)
    assert often.good_cranks_needed() < rare.good_cranks_needed()


def test_tries_after_the_repair_do_not_change_what_proves_it(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent")
    case.tries(3, 10)
    needed = case.good_cranks_needed()
    case.repaired("clean_positive_post", cured=True)
    case.tries(0, 5)
    assert case.good_cranks_needed() == needed


def test_tries_made_to_catch_a_failure_do_not_shorten_the_proof(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent")
    case.tries(3, 10)
    told = case.crank_proof()
    assert told is not None
    assert (told.failures, told.of) == (3, 10)
    for _ in range(4):
        case.record("positive_leg_drop", "2 V")
        case.tries(0, 2, waiting=True)
        case.tries(1, 1)
    assert case.crank_proof() == told
    case.tries(0, 60)  # counted: it fails more seldom than was told
    assert case.good_cranks_needed() > told.cranks


def test_a_repair_that_failed_leaves_the_rate_of_the_complaint(case_of: CaseOf) -> None:
    case = case_of("occurrence intermittent")
    case.tries(3, 10)
    needed = case.good_cranks_needed()
    case.repaired("clean_positive_post", cured=False)
    assert case.good_cranks_needed() == needed
    case.repaired("clean_negative_post")
    case.tries(0, 4)
    assert case.good_cranks_needed() == needed


def test_a_complaint_that_is_always_there_needs_no_good_cranks_counted(case_of: CaseOf) -> None:
    assert case_of("crank_behaviour slow").crank_proof() is None


def test_ruled_out_names_the_reading_that_did_it(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour silent", "gear_selector_trial cranks_in_other_position")
    case.record("interlock_output_voltage", "0 V")
    case.record("key_switch_output_voltage", "12.5 V")
    gone = {r.fault: r.by.measurement for r in case.ruled_out()}
    assert gone["start_fuse"] in ("key_switch_output_voltage", "gear_selector_trial")
    assert "interlock_switch" not in gone


def test_whether_the_complaint_showed_cannot_be_left_open(case_of: CaseOf) -> None:
    case = case_of()
    with pytest.raises(CaseError, match="symptom True or False"):
        case.record("crank_behaviour", "slow", symptom=None)  # type: ignore[arg-type]
    assert case.entries == ()
