from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.shell.store import KINDS, BadEvent, case_from_plain, case_to_plain
from crankpath.shell.store.event_data import digest, draft, from_plain, new_id, to_plain

NOON = "2031-05-04T12:00:00Z"
CASE = "c" * 32
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=8,
)


def note(text: object = "x"):
    return draft(CASE, "note", {"text": text}, NOON, "technician", "a" * 32)


@given(st.dictionaries(st.text(), JSON, max_size=4), st.sampled_from([k for k in KINDS if k != "taken_back"]))
def test_an_event_comes_back_from_json_as_it_was(body, kind):
    event = draft(CASE, kind, body, NOON, "field", "a" * 32)
    assert from_plain(CASE, json.loads(json.dumps(to_plain(event)))) == event


@pytest.mark.parametrize(
    ("kind", "body", "at", "by", "said"),
    [
        ("guess", {}, NOON, "technician", "no kind of entry"),
        ("note", {}, NOON, "nobody", "no source"),
        ("note", {}, "noon", "technician", "not a time"),
        ("note", {"x": float("nan")}, NOON, "technician", "cannot be written down"),
        ("note", {"x": {1, 2}}, NOON, "technician", "cannot be written down"),
        ("note", ["x"], NOON, "technician", "is a mapping"),
        ("taken_back", {}, NOON, "technician", "names the entry"),
        ("taken_back", {"event": "5"}, NOON, "technician", "names the entry"),
    ],
)
def test_an_entry_without_proper_shape_is_refused(kind, body, at, by, said):
    with pytest.raises(BadEvent, match=said):
        draft(CASE, kind, body, at, by, "a" * 32)


@pytest.mark.parametrize("part", ["id", "kind", "by", "origin", "at"])
@pytest.mark.parametrize("value", [None, 7, "", "../../x", "\x1b[31m", "x" * 4000, ["a"]])
def test_a_misshapen_part_of_a_strange_entry_is_refused(part, value):
    with pytest.raises(BadEvent):
        from_plain(CASE, {**to_plain(note()), part: value})


def test_an_entry_of_a_kind_of_tomorrow_is_kept():
    assert from_plain(CASE, {**to_plain(note()), "kind": "weighed"}).kind == "weighed"


def test_an_entry_without_stamp_is_stamped_with_its_time():
    assert from_plain(CASE, {**to_plain(note()), "stamp": None}).stamp == "2031-05-04T12:00:00.000000Z"


def test_the_digest_holds_every_part_but_the_stores_own_number():
    event = note()
    assert digest(replace(event, sequence=9)) == digest(event)
    for part, value in (("body", {"text": "y"}), ("at", "x"), ("stamp", "x"), ("by", "x"), ("origin", "x")):
        assert digest(replace(event, **{part: value})) != digest(event)


def test_a_case_comes_back_from_plain_data():
    events = (note("a"), note("b"))
    assert case_from_plain(json.loads(json.dumps(case_to_plain(CASE, "x", events)))) == (CASE, events)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"format": "other"}, "no exported case"),
        ({"version": 2}, "Install the newer program"),
        ({"version": "1"}, "no version"),
        ({"case": "7"}, "no id"),
        ({"events": []}, "no events"),
        ({"events": ["x"]}, "must be a mapping"),
    ],
)
def test_what_is_no_exported_case_is_refused_with_the_reason(change, said):
    with pytest.raises(BadEvent, match=said):
        case_from_plain({**case_to_plain(CASE, "x", (note(),)), **change})


@given(JSON)
def test_anything_else_than_an_exported_case_is_refused(data):
    with pytest.raises(BadEvent):
        case_from_plain(data)


def test_ids_are_32_hexadecimal_digits_and_differ():
    assert len({new_id() for _ in range(100)}) == 100
    assert all(len(new_id()) == 32 and int(new_id(), 16) >= 0 for _ in range(10))
