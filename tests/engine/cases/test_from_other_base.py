"""A case of one base goes on in another: what both know goes in, the rest stays as notes."""

from __future__ import annotations

import pytest

from crankpath.engine.cases.casefile import CaseFile, NoteEntry, ReadingEntry, RepairedEntry, load_case
from crankpath.engine.cases.from_other_base import carried
from crankpath.engine.cases.replay import replay
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge

LOADER = """
equipment: {system_voltage: 24, start_relay: true}
complaint: cranks slow
lacks: [clamp_meter, multimeter]
entries:
  - {reading: crank_behaviour, value: slow, by: operator, note: in the yard}
  - {reading: occurrence, value: every_time}
  - {reading: battery_rest_voltage, value: 23.7 V, symptom: false, crank: 2}
  - {cannot: crank_current}
  - {tries: {failures: 2, of: 3}}
  - {repaired: charge_battery, cured: false}
  - {repaired: replace_starter, cured: false}
  - {reading: charging_voltage, value: 24.6 V}
expect: {first: not_charging}
"""


Taken = tuple[CaseFile, tuple[str, ...]]


@pytest.fixture(scope="module")
def flat() -> Knowledge:
    return load_knowledge("flat", shipped=False)


@pytest.fixture(scope="module")
def taken(flat: Knowledge) -> Taken:
    return carried(load_case(LOADER), flat)


def test_readings_repairs_and_equipment_that_both_know_go_in(taken: Taken) -> None:
    case, _ = taken
    assert case.equipment == {"system_voltage": 24}
    assert case.lacks == ("multimeter",)
    assert [e for e in case.entries if not isinstance(e, NoteEntry)] == [
        ReadingEntry("battery_rest_voltage", "23.7 V"),
        RepairedEntry("charge_battery"),
        ReadingEntry("charging_voltage", "24.6 V"),
    ]


def test_what_is_not_known_and_the_old_complaint_stay_as_notes(taken: Taken) -> None:
    case, left = taken
    assert left == (
        "start_relay true", "without clamp_meter", "complaint cranks slow",
        "crank_behaviour slow; in the yard", "occurrence every_time", "cannot crank_current", "failed 2 of 3",
        "repaired replace_starter",
    )  # fmt: skip
    assert [e.note for e in case.entries if isinstance(e, NoteEntry)] == list(left)
    assert next(e.by for e in case.entries if e.note == "crank_behaviour slow; in the yard") == "operator"


def test_the_case_can_be_used_as_it_comes_out(flat: Knowledge, taken: Taken) -> None:
    replayed = replay(flat, taken[0])
    assert replayed.problems == ()
    assert replayed.case is not None
    assert replayed.case.causes()[0].repair == "replace_alternator"


def test_a_slip_is_no_other_base(flat: Knowledge) -> None:
    slipped = load_case(LOADER.replace("charging_voltage", "chargin_voltage"))
    assert carried(slipped, flat) == (slipped, ())


def test_a_case_of_this_base_comes_back_as_it_is(kb: Knowledge) -> None:
    own = load_case(LOADER)
    assert carried(own, kb, others=iter(())) == (own, ())


def test_it_goes_the_other_way_as_well(kb: Knowledge) -> None:
    text = "readings: {battery_complaint: flat_overnight, ripple_voltage: 0.1 V, parasitic_draw: 1.8 A}"
    case, left = carried(load_case(text), kb)
    assert left == ("battery_complaint flat_overnight", "ripple_voltage 0.1 V")
    assert replay(kb, case).problems == ()
