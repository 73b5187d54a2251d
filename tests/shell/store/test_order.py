from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.shell.store import BadEvent, Event, conflicts, live_events, ordered
from crankpath.shell.store.order import next_stamp, utc

NOON = "2031-05-04T12:00:00Z"


def event(n: int, kind: str = "note", body: dict | None = None, **parts: object) -> Event:
    ready = {"stamp": f"2031-05-04T12:00:00.{n:06d}Z", "sequence": n, "origin": "a", "by": "technician"}
    return Event(
        **{"id": f"{n:032x}", "case_id": "c", "kind": kind, "body": body or {}, "at": NOON, **ready, **parts}
    )


def back(n: int, target: int) -> Event:
    return event(n, "taken_back", {"event": f"{target:032x}"})


def numbers(events: tuple[Event, ...]) -> list[int]:
    return [e.sequence for e in events]


def test_a_stamp_follows_the_clock():
    assert next_stamp(NOON, "2031-05-04T11:59:59.000000Z") == "2031-05-04T12:00:00.000000Z"


@pytest.mark.parametrize("at", [NOON, "2031-05-04T11:00:00Z", "1999-01-01T00:00:00Z"])
def test_a_stamp_moves_on_when_the_clock_stands_still_or_goes_back(at):
    assert next_stamp(at, "2031-05-04T12:00:00.000000Z") == "2031-05-04T12:00:00.000001Z"


def test_a_stamp_counts_the_zone_in_and_takes_a_time_without_zone_as_utc():
    assert (
        next_stamp("2031-05-04T14:00:00+02:00", "")
        == next_stamp("2031-05-04T12:00:00", "")
        == next_stamp(NOON, "")
    )


def test_the_end_of_the_calendar_is_no_traceback():
    last = "9999-12-31T23:59:59.999999Z"
    assert next_stamp(NOON, last) == last


@pytest.mark.parametrize("text", ["", "yesterday", "2031-13-01T00:00:00Z", None, 7])
def test_what_is_no_time_is_refused_with_an_example(text):
    with pytest.raises(BadEvent, match="Write it like"):
        next_stamp(text, "")


@given(st.lists(st.datetimes(), min_size=1))
def test_stamps_grow_whatever_the_clock_does(moments):
    last = ""
    for moment in moments:
        stamp = next_stamp(moment.isoformat(), last)
        assert stamp > last or last.startswith("9999-12-31T23:59:59.99999")
        last = stamp


def test_what_is_taken_back_no_longer_counts():
    assert numbers(live_events([event(1), event(2), back(3, 2)])) == [1]


def test_taking_back_a_taking_back_brings_the_entry_again():
    assert numbers(live_events([event(1), event(2), back(3, 2), back(4, 3)])) == [1, 2]


def test_an_entry_taken_back_in_two_copies_stays_away_until_both_are_undone():
    twice = [event(1), back(2, 1), back(3, 1)]
    assert numbers(live_events([*twice, back(4, 2)])) == []
    assert numbers(live_events([*twice, back(4, 2), back(5, 3)])) == [1]


def test_taking_back_what_is_not_there_changes_nothing():
    assert numbers(live_events([event(1), back(2, 9)])) == [1]


def test_an_entry_known_twice_is_kept_once_with_its_number():
    waiting = event(2, sequence=0)
    assert numbers(ordered([waiting, event(2), event(1)])) == [1, 2]
    assert numbers(ordered([event(2), event(1), waiting])) == [1, 2]


def reading(n: int, text: str, measurement: str = "crank_current") -> Event:
    return event(n, "reading", {"measurement": measurement, "text": text})


def test_copies_that_say_the_same_are_no_conflict():
    base = event(1)
    assert conflicts([base, reading(2, "310 A")], [base, reading(3, "310 A")]) == ()


def test_copies_that_say_different_things_of_one_measurement_are_shown_with_both_entries():
    found = conflicts(
        [event(1), reading(2, "310 A")], [event(1), reading(3, "90 A"), reading(4, "9.8", "other")]
    )
    assert [(c.kind, c.about, c.ours.sequence, c.theirs.sequence) for c in found] == [
        ("reading", "crank_current", 2, 3)
    ]


def test_an_older_copy_of_the_same_case_is_no_conflict():
    ours = [event(1), reading(2, "310 A"), reading(3, "90 A")]
    assert conflicts(ours, ours[:2]) == ()


def test_what_was_taken_back_in_one_copy_is_no_conflict():
    ours = [event(1), reading(2, "310 A"), back(3, 2)]
    assert conflicts(ours, [event(1), reading(4, "90 A")]) == ()


def test_two_closings_with_different_causes_and_two_names_are_conflicts():
    ours = [event(1), event(2, "closed", {"causes": ["a"]}), event(3, "renamed", {"name": "x"})]
    theirs = [event(1), event(4, "closed", {"causes": ["b"]}), event(5, "renamed", {"name": "x"})]
    assert [c.kind for c in conflicts(ours, theirs)] == ["closed"]


def test_a_machine_fact_given_two_values_is_a_conflict_of_that_fact():
    ours = [event(2, "equipment", {"facts": {"system_voltage": 12, "duty": "heavy"}})]
    theirs = [event(3, "equipment", {"facts": {"system_voltage": 24, "duty": "heavy"}})]
    assert [(c.kind, c.about) for c in conflicts(ours, theirs)] == [("equipment", "system_voltage")]


def test_a_text_of_any_length_that_is_no_time_is_told_in_a_short_sentence() -> None:
    with pytest.raises(BadEvent) as told:
        utc("x" * 30_000)
    assert len(str(told.value)) < 200
