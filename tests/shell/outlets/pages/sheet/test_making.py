from __future__ import annotations

import re
from dataclasses import fields, is_dataclass
from typing import Any

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.pages import EntryMeta, SheetMeta, sheet_html, sheet_of, sheet_text
from crankpath.shell.outlets.pages.sheet.making import when_words


def rows(case: Case) -> dict[int, tuple[str, str, str]]:
    return {row.number: (row.value, row.limit, row.mark) for row in sheet_of(case).rows}


def test_readings_stand_in_order_with_the_limit_in_force_and_a_mark(repaired_small: Case) -> None:
    sheet = sheet_of(repaired_small)
    assert [(row.sort, row.what, row.value, row.limit, row.mark) for row in sheet.rows] == [
        ("reading", "what it does in start", "slow", "", "none"),
        ("reading", "positive leg drop", "0.9 V", "at most 0.4 V", "fail"),
        ("reading", "negative leg drop", "90 mV", "at most 0.4 V", "pass"),
        ("reading", "battery while cranking", "10.9 V", "at least 9.6 V", "pass"),
        ("repaired", "REPAIR: replace the positive cable", "cured", "", "none"),
        ("reading", "positive leg drop", "80 mV", "at most 0.4 V", "pass"),
    ]
    assert [row.number for row in sheet.rows] == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize(
    ("measurement", "value", "mark"),
    [
        ("positive_leg_drop", "50 mV", "pass"), ("positive_leg_drop", "0.39 V", "near"),
        ("positive_leg_drop", "0.41 V", "fail"), ("battery_crank_voltage", "9.8", "near"),
        ("battery_crank_voltage", "9.5", "fail"), ("battery_crank_voltage", "11", "pass"),
        ("crank_behaviour", "silent", "none"), ("occurrence", "intermittent", "none"),
    ],
)  # fmt: skip
def test_a_mark_follows_from_the_band(small: Knowledge, measurement: str, value: str, mark: str) -> None:
    case = Case(small)
    case.record(measurement, value)
    assert rows(case)[1][2] == mark


def test_a_drop_read_without_current_is_not_called_a_pass(shipped: Knowledge) -> None:
    case = Case(shipped)
    case.record("crank_behaviour", "silent")
    case.record("positive_leg_drop", "0 mV")
    assert rows(case)[2][2] == "none"


def test_limits_are_those_in_force_for_the_machine_as_it_was_read(shipped: Knowledge) -> None:
    without = Case(shipped, {"system_voltage": 24})
    without.record("positive_leg_drop", "0.9 V")
    assert rows(without)[1][1] == "at most 0.8 V"
    at_twelve = Case(shipped, {"system_voltage": 12})
    at_twelve.record("positive_leg_drop", "0.9 V")
    assert rows(at_twelve)[1][1] == "at most 0.4 V"


def test_the_voltage_is_shared_out_before_and_after(loader: Case) -> None:
    before, after, sound = sheet_of(loader).budgets
    assert (before.when, after.when, sound.when) == (
        "before the repair", "after the repair", "as it should be",
    )  # fmt: skip
    assert not any(part.read for part in sound.parts)
    lost = [next(p.volts for p in budget.parts if p.part == "there") for budget in (before, sound)]
    assert lost[0] > 2 * lost[1]
    for budget, rested in ((before, 12.62), (after, 12.6)):
        assert [part.part for part in budget.parts] == [
            "inside", "there", "inner", "rest", "back",
        ]  # fmt: skip
        assert sum(part.volts for part in budget.parts) == pytest.approx(rested, abs=0.02)


def test_each_voltage_stands_on_what_it_was_read_across(loader: Case) -> None:
    circuit = sheet_of(loader).circuit
    assert circuit is not None
    found = {
        (circuit.there.points[span.first], circuit.there.points[span.last]): span.figure
        for span in circuit.there.spans
    }
    assert found["disc. in", "disc. out"].before == "0.98 V"
    assert found["disc. in", "disc. out"].after == "20 mV"
    assert found["disc. in", "disc. out"].mark == "pass"
    assert found["B+ post", "BAT stud"].mark == "near"
    assert found["B+ clamp", "pos lug"].after == ""
    assert [f.label for f in circuit.load_figures] == ["starter voltage while cranking"]
    at_the_posts = {f.label for f in circuit.battery_figures}
    assert at_the_posts == {"battery voltage at rest", "battery voltage while cranking"}


def test_a_control_voltage_is_listed_beside_the_circuit(shipped: Knowledge) -> None:
    case = Case(shipped)
    case.record("start_terminal_voltage", "11.8 V")
    circuit = sheet_of(case).circuit
    assert circuit is not None
    assert [f.before for f in circuit.elsewhere] == ["11.8 V"]


def test_what_was_ruled_out_names_the_reading_that_did_it(repaired_small: Case) -> None:
    (line,) = sheet_of(repaired_small).ruled_out
    assert line.by == "negative leg drop 90 mV (no. 3)"
    assert [gone.label for gone in line.faults] == ["bad ground cable"]


def test_cause_repair_and_proof(repaired_small: Case) -> None:
    sheet = sheet_of(repaired_small, SheetMeta(confirmed=("hot_cable",)))
    assert sheet.state == "repaired and proven"
    assert sheet.verdict == "Cured by: replace the positive cable."
    assert (sheet.causes[0].label, sheet.causes[0].confirmed) == ("bad positive cable", True)
    assert [(r.label, r.outcome) for r in sheet.repairs] == [("replace the positive cable", "cured")]
    (proof,) = sheet.proofs
    assert (proof.label, proof.before, proof.after, proof.limit, proof.mark) == (
        "positive leg drop", "0.9 V", "80 mV", "at most 0.4 V", "pass",
    )  # fmt: skip


def test_a_proof_that_is_due_is_not_called_passed(repaired_small: Case) -> None:
    repaired_small.take_back()
    repaired_small.take_back()
    repaired_small.repaired("replace_hot_cable")
    sheet = sheet_of(repaired_small)
    assert sheet.state == "repaired, proof is due"
    assert [(p.after, p.mark) for p in sheet.proofs] == [("", "none")]


def test_good_cranks_are_told_for_a_fault_that_comes_and_goes(small: Knowledge) -> None:
    case = Case(small)
    for name, value in (("crank_behaviour", "slow"), ("occurrence", "intermittent")):
        case.record(name, value)
    case.repaired("replace_hot_cable")
    case.tries(0, 2)
    assert sheet_of(case).cranks == (
        "2 good cranks of 2 since the repair; 20 in a row without a failure prove it, "
        "enough if it used to fail at 14 % of tries or more."
    )


def test_cautions_are_those_shown_or_those_that_go_with_the_work(repaired_small: Case) -> None:
    shown = sheet_of(repaired_small, SheetMeta(cautions=("gas", "no_such_caution")))
    assert [c.id for c in shown.cautions] == ["gas"]
    assert shown.cautions_kept
    derived = sheet_of(repaired_small)
    assert [c.id for c in derived.cautions] == ["chocks", "clear", "gas", "ground_off"]
    assert not derived.cautions_kept


def test_every_source_of_a_limit_is_named(loader: Case) -> None:
    sheet = sheet_of(loader)
    assert {s for row in sheet.rows for s in row.sources} <= {source.id for source in sheet.sources}
    assert sheet.knowledge_version == loader.kb.version


def test_what_people_said_stands_beside_its_entry(repaired_small: Case) -> None:
    meta = SheetMeta(told=(EntryMeta(), EntryMeta("2026-01-05T10:35:00Z", "field", "on the second try")))
    row = sheet_of(repaired_small, meta).rows[1]
    assert (row.at, row.by, row.remark) == ("2026-01-05 10:35", "field", "on the second try")


def test_times_are_told_as_people_write_them() -> None:
    assert when_words("2026-01-05T10:35:59.123456+00:00") == "2026-01-05 10:35"
    assert when_words("after lunch") == "after lunch"


def test_an_empty_case_has_a_sheet(small: Knowledge) -> None:
    sheet = sheet_of(Case(small))
    assert (sheet.rows, sheet.budgets, sheet.repairs, sheet.proofs) == ((), (), (), ())
    assert sheet.state == "not repaired yet"


def texts_of(thing: Any) -> list[str]:
    if isinstance(thing, str):
        return [thing]
    if isinstance(thing, tuple):
        return [text for item in thing for text in texts_of(item)]
    if is_dataclass(thing):
        return [text for f in fields(thing) for text in texts_of(getattr(thing, f.name))]
    return []


def test_every_text_is_clean_and_not_endless(repaired_small: Case) -> None:
    evil = "a\x1b[31mb\x07\u202ec\x9b" + "x" * 5000
    meta = SheetMeta(evil, evil, evil, evil, evil, (EntryMeta(evil, evil, evil),) * 6)
    for text in texts_of(sheet_of(repaired_small, meta)):
        assert text.isprintable()
        assert "\u202e" not in text
        assert len(text) <= 600


@pytest.fixture
def corrected(small: Knowledge) -> Case:
    case = Case(small)
    for name, value in (
        ("crank_behaviour", "slow"), ("positive_leg_drop", "3.1 V"), ("positive_leg_drop", "0.2 V"),
    ):  # fmt: skip
        case.record(name, value)
    return case


def test_a_take_set_aside_has_no_mark_and_the_one_that_stands_its_own(corrected: Case) -> None:
    sheet = sheet_of(corrected)
    assert [(row.value, row.mark, row.set_aside) for row in sheet.rows[1:]] == [
        ("3.1 V", "none", True), ("0.2 V", "pass", False),
    ]  # fmt: skip
    assert sheet.circuit is not None
    (figure,) = [span.figure for span in sheet.circuit.there.spans]
    assert (figure.before, figure.mark, figure.set_aside) == ("0.2 V", "pass", ("3.1 V",))


def test_a_take_set_aside_is_struck_through_on_the_page_and_named_in_the_text(corrected: Case) -> None:
    sheet = sheet_of(corrected)
    page = sheet_html(sheet)
    assert "<s>3.1 V</s>" in page
    assert re.search(r'text-decoration="line-through">3.1 V<', page)
    assert "positive leg drop: 3.1 V (set aside)" in sheet_text(sheet)


def test_what_was_read_before_the_repair_is_not_shown_as_the_state(repaired_small: Case) -> None:
    circuit = sheet_of(repaired_small).circuit
    assert circuit is not None
    (battery,) = circuit.battery_figures
    assert (battery.before, battery.after, battery.mark, battery.due) == ("10.9 V", "", "none", True)


@pytest.mark.parametrize(
    ("cured", "verdict"),
    [
        (None, "Closed after: replace the positive cable; no cure was recorded."),
        (False, "Closed after: replace the positive cable; no cure was recorded."),
        (True, "Cured by: replace the positive cable."),
    ],
)
def test_a_closed_case_is_never_called_unproven(corrected: Case, cured: bool | None, verdict: str) -> None:
    assert sheet_of(corrected, SheetMeta(closed=True)).verdict == "Closed, nothing repaired."
    corrected.repaired("replace_hot_cable", cured=cured)
    sheet = sheet_of(corrected, SheetMeta(closed=True))
    assert sheet.verdict == verdict
    assert "proof is due" not in sheet_text(sheet)


def test_after_a_repair_that_failed_the_next_reading_is_named_as_such(corrected: Case) -> None:
    corrected.repaired("replace_hot_cable", cured=False)
    assert not sheet_of(corrected).verdict.startswith("Not proven yet")


def test_a_relay_that_is_proven_is_marked_where_it_likeliest_failed(shipped: Knowledge) -> None:
    case = Case(shipped, {"system_voltage": 12})
    for name, value in (
        ("crank_behaviour", "silent"), ("occurrence", "every_time"), ("battery_rest_voltage", "12.6"),
        ("relay_coil_voltage", "11.9"), ("relay_contact_drop", "12.2"), ("start_terminal_voltage", "0.2"),
    ):  # fmt: skip
        case.record(name, value)
    case.repaired("replace_relay", cured=True)
    sheet = sheet_of(case)
    first = sheet.causes[0]
    assert first.probability < 0.9  # contacts or coil of it: only the relay is proven
    assert sheet.circuit is not None
    assert sheet.circuit.control is not None
    assert [part.label for part in sheet.circuit.control.parts if part.failing] == [first.label]
