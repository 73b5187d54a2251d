"""Case files: read with places, told about when wrong, written back the same."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.cases.casefile import (
    CannotEntry,
    CaseFile,
    Expect,
    NoteEntry,
    ReadingEntry,
    RepairedEntry,
    TriesEntry,
    load_case,
    name_problems,
    read_case,
)
from crankpath.engine.cases.casefile_text import dump_case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Origin

TINY = Path(__file__).parents[1] / "data" / "tiny"
WHOLE = """\
about: a corroded post on a loader
source: common_practice
equipment: {system_voltage: 12, start_relay: true, cables: {positive: {gauge: 2/0, length: 4 m}}}
lacks: [clamp_meter]
complaint: "it just clicks: sometimes"
readings: {crank_behaviour: single_click, battery_rest_voltage: 12.6}
entries:
  - {reading: positive_leg_drop, value: 820 mV, symptom: false, cable: 2, crank: 3, at: 2026-01-05T10:00:00Z,
     by: operator}
  - {cannot: crank_current, note: no clamp}
  - {tries: {failures: 2, of: 10}}
  - {repaired: clean_positive_post, cured: false}
  - {repaired: clean_positive_post}
  - {note: rained all night}
expect:
  first: positive_post_joint
  repair: clean_positive_post
  verdict: {action: repair, repair: clean_positive_post}
  chance: {positive_post_joint: {least: 0.8}, not_listed: {most: 0.1}}
  next: positive_leg_drop
  never: [positive_cable]
  says: [crank current]
"""


def told(text: str) -> list[str]:
    case, problems = read_case(text, "c.yaml")
    assert case is None
    return [str(problem) for problem in problems]


def test_everything_a_case_file_can_say_is_read() -> None:
    assert load_case(WHOLE) == CaseFile(
        about="a corroded post on a loader",
        source=("common_practice",),
        equipment={
            "system_voltage": 12,
            "start_relay": True,
            "cables": {"positive": {"gauge": "2/0", "length": "4 m"}},
        },
        lacks=("clamp_meter",),
        complaint="it just clicks: sometimes",
        entries=(
            ReadingEntry("crank_behaviour", "single_click"),
            ReadingEntry("battery_rest_voltage", 12.6),
            ReadingEntry(
                "positive_leg_drop", "820 mV", False, 2, 3, at="2026-01-05T10:00:00Z", by="operator"
            ),
            CannotEntry("crank_current", note="no clamp"),
            TriesEntry(2, 10),
            RepairedEntry("clean_positive_post", False),
            RepairedEntry("clean_positive_post"),
            NoteEntry(note="rained all night"),
        ),
        expect=Expect(
            first="positive_post_joint",
            first_stated=True,
            repair="clean_positive_post",
            verdict={"action": "repair", "repair": "clean_positive_post"},
            chance={"positive_post_joint": (0.8, 1.0), "not_listed": (0.0, 0.1)},
            next=("positive_leg_drop",),
            never=("positive_cable",),
            says=("crank current",),
        ),
    )


def test_entries_know_where_they_stand() -> None:
    case = load_case(WHOLE, "c.yaml")
    assert case.entries[0].origin == Origin("c.yaml", 6, 12)
    assert case.entries[2].origin == Origin("c.yaml", 8, 5)
    assert case.places["equipment/start_relay"] == Origin("c.yaml", 3, 33)


def test_first_null_means_a_fault_that_is_not_listed_and_no_first_means_nothing() -> None:
    null, absent = load_case("expect: {first: null}").expect, load_case("expect: {}").expect
    assert null is not None
    assert absent is not None
    assert (null.first, null.first_stated) == (None, True)
    assert (absent.first, absent.first_stated) == (None, False)


def test_a_case_written_back_is_the_same_case() -> None:
    case = load_case(WHOLE)
    assert load_case(dump_case(case)) == case
    assert dump_case(load_case(dump_case(case))) == dump_case(case)


def test_what_is_written_means_the_same_to_any_reader_of_yaml() -> None:
    case = CaseFile(
        complaint="yes", entries=(ReadingEntry("a", "1:30"), ReadingEntry("b", "012"), NoteEntry(note="on"))
    )
    assert yaml.safe_load(dump_case(case)) == {
        "complaint": "yes",
        "entries": [{"reading": "a", "value": "1:30"}, {"reading": "b", "value": "012"}, {"note": "on"}],
    }


IDS = st.from_regex(r"[a-z][a-z0-9_]{0,10}", fullmatch=True)
TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cn")), max_size=30)
COMMON = {
    "at": st.none() | st.just("2026-01-05T10:00:00+01:00"),
    "by": st.none() | st.sampled_from(["operator", "technician"]),
    "note": st.none() | TEXTS,
}
VALUES = st.one_of(TEXTS, st.integers(-(10**6), 10**6), st.floats(-1e6, 1e6))
CRANKS = st.none() | st.integers(1, 9)
ENTRIES = st.one_of(
    st.builds(ReadingEntry, IDS, VALUES, st.booleans(), st.integers(1, 4), CRANKS, **COMMON),
    st.builds(CannotEntry, IDS, **COMMON),
    st.builds(TriesEntry, st.integers(0, 3), st.integers(3, 9), **COMMON),
    st.builds(RepairedEntry, IDS, st.none() | st.booleans(), **COMMON),
    st.builds(NoteEntry, **(COMMON | {"note": TEXTS})),
)
CASES = st.builds(
    CaseFile,
    equipment=st.dictionaries(IDS, st.one_of(TEXTS, st.integers(0, 99), st.booleans()), max_size=3),
    entries=st.lists(ENTRIES, max_size=5).map(tuple),
    complaint=st.none() | TEXTS,
    about=st.none() | TEXTS,
    source=st.lists(IDS, max_size=2).map(tuple),
)


@given(CASES)
def test_any_case_survives_being_written_and_read(case: CaseFile) -> None:
    assert load_case(dump_case(case)) == case


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "c.yaml:1:1: the file: nothing does not fit. Expected a mapping."),
        (
            "colour: red",
            "c.yaml:1:1: there is no section 'colour'. Known here: about, source, equipment, ",
        ),
        ("entires: []", "c.yaml:1:1: there is no section 'entires'. Did you mean entries?"),
        ("entries: [{reading: a}]", "c.yaml:1:11: entries 1 has no 'value'. Add 'value:'."),
        (
            "entries: [{canot: a}]",
            "c.yaml:1:11: entries 1: a mapping does not fit. Expected one of {reading: ",
        ),
        ("entries: [{reading: a, cannot: a}]", "c.yaml:1:11: entries 1: a mapping does not fit."),
        ("entries: [{reading: a, value: true}]", "c.yaml:1:31: entries 1 value: 'true' does not fit."),
        (
            "entries: [{note: a, by: me}]",
            "c.yaml:1:25: entries 1 by: 'me' is not known. Known here: technician, ",
        ),
        ("entries: [{note: a, at: today}]", "Expected a time such as 2026-01-05T10:00:00Z."),
        ("entries: [{tries: {failures: 3, of: 2}}]", "c.yaml:1:19: 3 failures in 2 tries cannot be."),
        ("expect: {chance: {a: {least: 0.5, most: 0.4}}}", "the least chance of 'a' is above the most"),
        (
            "expect: {verdict: {action: mesure}}",
            "1:28: expect verdict action: 'mesure' is not known. Did you mean ",
        ),
        ("a: &x 1", "c.yaml:1:4: anchors"),
    ],
)
def test_a_slip_is_told_with_its_place(text: str, sentence: str) -> None:
    (found,) = told(text)
    assert sentence in found


def test_all_slips_come_in_one_error_one_a_line() -> None:
    with pytest.raises(CaseError) as caught:
        load_case("entries: [{reading: a}, {note: 3}]\ncomplaint: 5\n", "c.yaml")
    assert [line.split(": ")[0] for line in str(caught.value).splitlines()] == [
        "c.yaml:1:11",
        "c.yaml:1:32",
        "c.yaml:2:12",
    ]


def test_names_that_the_knowledge_base_does_not_have_are_told_with_near_spellings() -> None:
    case = load_case(
        "equipment: {sytem_voltage: 12}\n"
        "lacks: [multimetre]\n"
        "readings: {crank_behavior: silent}\n"
        "entries:\n"
        "  - {cannot: positive_leg}\n"
        "  - {repaired: clean_positive}\n"
        "expect: {first: positive_post, never: [clean_positive_pst], chance: {not_listed: {most: 0.5}}}\n",
        "c.yaml",
    )
    assert [str(problem) for problem in name_problems(case, load_knowledge(TINY, shipped=False))] == [
        "c.yaml:1:13: there is no machine fact 'sytem_voltage'. Did you mean system_voltage?",
        "c.yaml:2:1: there is no tool 'multimetre'. Did you mean multimeter?",
        "c.yaml:3:12: there is no measurement 'crank_behavior'. Did you mean crank_behaviour?",
        "c.yaml:5:5: there is no measurement 'positive_leg'. Did you mean positive_leg_drop?",
        "c.yaml:6:5: there is no repair 'clean_positive'. Did you mean clean_positive_post?",
        "c.yaml:7:10: there is no fault 'positive_post'. Did you mean positive_post_joint?",
        "c.yaml:7:32: there is no fault or repair 'clean_positive_pst'. Did you mean clean_positive_post?",
    ]


def test_names_that_it_has_are_no_problem() -> None:
    case = load_case("readings: {positive_leg_drop: 0.2}\nexpect: {first: positive_cable}\n")
    assert name_problems(case, load_knowledge(TINY, shipped=False)) == ()
