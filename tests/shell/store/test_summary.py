from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crankpath.shell.store import KINDS, CaseSummary, Event
from crankpath.shell.store.summary import column_text, search_words, summarise_case

CASE = "c" * 32


def summary(*said: tuple[str, dict]) -> CaseSummary:
    events = [
        Event(
            f"{n:032x}",
            CASE,
            n,
            kind,
            body,
            f"2031-05-04T12:00:{n:02d}Z",
            f"2031-05-04T12:00:{n:02d}.0Z",
            "field",
            "a",
        )
        for n, (kind, body) in enumerate([("opened", {"name": "loader 7"}), *said], 1)
    ]
    return summarise_case(CASE, events)[0]


def test_a_new_case_is_open_and_waits_for_nothing():
    found = summary()
    assert (found.name, found.state, found.waits_for) == ("loader 7", "open", "")
    assert (found.causes, found.entries) == ((), 1)


def test_machine_complaint_and_new_name_are_shown():
    found = summary(
        ("equipment", {"machine": "wheel loader", "facts": {}}),
        ("complaint", {"text": "just clicks\nwhen hot"}),
        ("renamed", {"name": "loader 8"}),
    )
    shown = (found.name, found.machine, found.complaint)
    assert shown == ("loader 8", "wheel loader", "just clicks when hot")


def test_a_message_waits_for_its_answer_until_a_reading_comes():
    sent = ("sent", {"text": "...", "waits_for": "positive leg drop"})
    assert summary(sent).waits_for == "positive leg drop"
    assert summary(("sent", {"text": "..."})).waits_for == "an answer"
    assert summary(sent, ("reading", {"measurement": "m", "text": "1 V"})).waits_for == ""


def test_a_promise_is_waited_for_when_nothing_nearer_is():
    promised = ("promised", {"text": "part comes Tuesday"})
    assert summary(promised).waits_for == "part comes Tuesday"
    assert summary(promised, ("sent", {"text": "x"})).waits_for == "an answer"


def test_a_repair_without_proof_waits_for_it():
    found = summary(("repaired", {"repair": "replace_cable", "cured": None}))
    assert (found.state, found.waits_for) == ("repaired", "proof of replace_cable")


def test_a_repair_that_did_not_cure_leaves_the_case_open():
    assert summary(("repaired", {"repair": "r", "cured": False})).state == "open"


def test_a_closed_case_has_its_causes_and_waits_for_nothing():
    found = summary(("promised", {"text": "x"}), ("closed", {"causes": ["a", "b", "a"]}))
    assert (found.state, found.causes, found.waits_for) == ("closed", ("a", "b"), "")
    assert summary(("closed", {})).causes == ()


def test_reopening_and_taking_the_closing_back_open_the_case_again():
    closed = ("closed", {"causes": ["a"]})
    for again in (("reopened", {}), ("taken_back", {"event": f"{2:032x}"})):
        assert (summary(closed, again).state, summary(closed, again).causes) == ("open", ())


def test_a_case_whose_opening_is_lost_has_a_name_all_the_same():
    event = Event("1" * 32, CASE, 4, "note", {"text": "x"}, "2031-05-04T12:00:00Z", "s", "field", "a")
    assert summarise_case(CASE, [event])[0].name == "case cccccccc"


def test_words_are_found_without_capitals_accents_and_marks():
    assert search_words("Zündschloß, B+ 24V — L-245_x") == ["zundschloss", "b", "24v", "l", "245", "x"]


def test_notes_are_among_the_words_and_each_word_is_there_once():
    events = [
        Event(f"{n:032x}", CASE, n, kind, body, "2031-05-04T12:00:00Z", f"{n}", "field", "a")
        for n, (kind, body) in enumerate(
            [("opened", {"name": "loader"}), ("note", {"text": "Loader wet"})], 1
        )
    ]
    assert summarise_case(CASE, events)[1] == "loader wet"


@pytest.mark.parametrize("nasty", ["\x1b[2Ja", "a\x00", "a\u202e", "a\ud800", "a\r\n"])
def test_control_characters_do_not_reach_a_line(nasty):
    assert column_text(nasty).strip("[2J ") == "a"


def test_age_is_counted_from_the_opening():
    assert summary().age_seconds("2031-05-04T13:00:01Z") == 3600


ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(), lambda x: st.lists(x, max_size=2), max_leaves=3
)
KEYS = st.sampled_from(
    ["name", "machine", "text", "causes", "cause", "repair", "cured", "waits_for", "event"]
)


@given(st.lists(st.tuples(st.sampled_from(KINDS), st.dictionaries(KEYS, ANY)), max_size=6))
def test_no_body_however_strange_breaks_a_list(said):
    found = summary(*said)
    assert found.entries == len(said) + 1
    assert found.state in ("open", "repaired", "closed")
    assert "\n" not in found.name + found.machine + found.complaint + found.waits_for
