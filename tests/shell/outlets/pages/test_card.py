from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError, UnknownName
from crankpath.engine.knowledge.records import Knowledge, Measurement
from crankpath.shell.outlets.pages import card_answer, card_page
from crankpath.shell.outlets.pages.card_data import card_of
from crankpath.shell.session.input.readings import understood

EVERY_PART = {"disconnect_switch": "positive", "ground_path": "frame", "start_relay": True}


@pytest.fixture
def every_part(shipped: Knowledge) -> Case:
    return Case(shipped, EVERY_PART)


def said(page: str) -> str:
    root = ElementTree.fromstring(page.removeprefix("<!DOCTYPE html>\n"))
    return " ".join(" ".join(root.itertext()).split())


def test_a_card_shows_cautions_leads_steps_ranges_and_the_answer(small: Knowledge) -> None:
    case = Case(small)
    case.record("crank_behaviour", "slow")
    text = said(card_page(case, "positive_leg_drop", "7-114"))
    for piece in (
        "7-114 · reading", "positive leg drop", "What is lost on the way to the starter?",
        "While you read: Neutral, brake, chocks.", "Battery gas: no sparks.",
        "Neutral, brake on, wheels chocked.", "batteries uncovered (3 min)", "cranking, fuel off",
        "positive post On the lead of the post.", "starter stud On the thread.",
        "Crank 3 s, read while it turns.", "No current, no drop.", "limit at most 0.4 V",
        "if it is bad positive cable 0.4 to 3 V",
        "if it is bad ground cable 50 mV to 0.2 V, as a sound circuit",
        "It cannot be taken here", "It cranked well this time", "e.g. pos leg 0.3 V",
    ):  # fmt: skip
        assert piece in text, piece


def test_every_card_holds_every_caution_of_its_reading(every_part: Case, shipped: Knowledge) -> None:
    for m in every_part.assessment.model.measurements.values():
        text = said(card_page(every_part, m.id))
        for name in (*m.cautions, *shipped.states[m.state].cautions):
            caution = shipped.cautions[name]
            assert " ".join(caution.short.split()) in text, m.id
            assert " ".join(caution.text.split()) in text, m.id


def test_each_caution_stands_at_the_work_it_belongs_to(every_part: Case) -> None:
    card = card_of(every_part, "positive_leg_drop")
    first, second, *_ = card.ready
    assert [setup.label for setup in first.setups] == ["machine made safe"]
    assert {"neutral_chocked", "maker_manual"} <= {c.id for c in first.cautions}
    assert "button_rated" in {c.id for c in second.cautions}
    before = [c.id for stage in card.ready for c in stage.cautions]
    assert len(before) == len(set(before))
    assert {"crank_rest", "people_clear"} <= {c.id for c in card.cautions}
    assert "button_rated" not in {c.id for c in card.cautions}


def test_cautions_of_cranking_stand_at_the_step_of_a_repair_that_cranks(every_part: Case) -> None:
    for name, value in (("crank_behaviour", "slow"), ("positive_post_drop", "1.6 V"),
                        ("positive_post_inspection", "corroded")):  # fmt: skip
        every_part.record(name, value)
    card = card_of(every_part)
    *others, last = card.work
    assert (card.title, last.step) == (
        "clean and tighten the positive post and clamp", "Read the drop from post to clamp while cranking.")
    assert "crank_rest" in {c.id for c in last.cautions}
    assert "crank_rest" not in {c.id for c in card.cautions}
    assert not any(stage.cautions for stage in others)


def test_the_next_step_is_taken_where_no_reading_is_named(every_part: Case) -> None:
    every_part.record("crank_behaviour", "slow")
    verdict = every_part.verdict()
    card = card_of(every_part)
    assert (card.purpose, card.reading) == ("next reading", verdict.measurement)


def test_a_proven_repair_has_a_card_with_its_steps(repaired_small: Case) -> None:
    repaired_small.take_back()
    repaired_small.take_back()
    card = card_of(repaired_small)
    assert (card.purpose, card.title) == ("repair", "replace the positive cable")
    assert [stage.step for stage in card.work] == ["Cable off.", "New one on."]
    assert card.asks == "Cause: bad positive cable (99 %). Proof after it: positive leg drop."
    assert [c.id for c in card.cautions] == ["ground_off", "gas"]


def test_a_made_repair_has_a_card_for_its_proof(repaired_small: Case) -> None:
    repaired_small.take_back()
    repaired_small.take_back()
    repaired_small.repaired("replace_hot_cable")
    card = card_of(repaired_small)
    assert card.purpose == "proof of the repair: replace the positive cable"
    assert card.reading == "positive_leg_drop"
    assert card.cranks == "Then one more try, and send: cured, or not cured."


def test_a_cured_machine_has_no_next_card(repaired_small: Case) -> None:
    with pytest.raises(CaseError, match="no next step"):
        card_page(repaired_small)


def test_an_unknown_reading_is_refused(every_part: Case) -> None:
    with pytest.raises(UnknownName, match="positive_leg_drop"):
        card_page(every_part, "positiv_leg_drop")


def test_every_card_fits_a_phone_without_overlap(browser: Any, every_part: Case) -> None:
    every_part.record("occurrence", "intermittent")
    names = ("positive_leg_drop", "relay_output_voltage", "battery_rest_voltage", "crank_behaviour")
    pages = [(card_page(every_part, name, "7-114"), 390, 844) for name in names]
    for name, found in zip(names, browser.laid_out(*pages), strict=True):
        assert (found["width"], found["scroll"]) == (390, 390)
        assert found["wide"] == [], name
        assert found["overlapping"] == [], name
        assert found["crushed"] == [], name
        assert found["type"] >= 12, name  # px; smaller type is not read on a phone


# -- answered by tapping ------------------------------------------------------------------

TRIALS = ("solenoid_bypass", "gear_selector_trial")
SHOWN = {
    "V": ("0.31", "10,4"), "mA": ("38", "52"), "A": ("210", "390"), "%": ("71", "96"), "rpm": ("120", "6000"),
    "ohm": ("0.4", "1.2"),
}  # fmt: skip


def tap(name: str, says: str) -> tuple[str, str]:
    return f'input[name="{name}"][value="{says}"]', ""


def answers(case: Case, m: Measurement) -> Iterator[tuple[list[tuple[str, str]], float | str | None]]:
    """Ways to answer the card of a reading, and the value each of them tells; None: it cannot be taken."""
    answer = card_of(case, m.id).answer
    yield [tap("cannot", answer.cannot[0].says)], None
    # the value of a trial tells how it cranked: "slow, it cranked well" is rightly asked about
    said = answer.how[0 if m.id in TRIALS else -1].says if answer.must_say_how else ""
    how = [tap("how", said)] if said else []
    if m.numeric:
        for text in SHOWN[m.unit or ""]:
            yield [("#figure", text), *how], float(text.replace(",", "."))
        for choice in answer.choices:
            yield [tap("choice", choice.says), *how], float("inf")
    else:
        for value, choice in zip(m.choices, answer.choices, strict=True):
            yield [tap("choice", choice.says), *how], value


@pytest.mark.parametrize("one_in", [9, pytest.param(1, marks=pytest.mark.slow)])
def test_what_is_tapped_on_a_card_is_read_back_without_a_question(
    browser: Any, every_part: Case, one_in: int
) -> None:
    every_part.record("occurrence", "intermittent")
    there = every_part.assessment.model.measurements.values()
    here = [m for m in there if not every_part.guard.reading(m)][::one_in]
    asked = [(m, taps, value) for m in here for taps, value in answers(every_part, m)]
    pages = {m.id: card_page(every_part, m.id) for m in here}
    replies = browser.tapped(*((pages[m.id], taps) for m, taps, _ in asked))
    sure = set()
    for (m, taps, value), reply in zip(asked, replies, strict=True):
        found = understood(every_part, reply, [m.id])
        taken = [(p.measurement, p.understood.value) for p in found.taken]
        if value is None:
            assert [name for name, _ in found.cannot] == [m.id], (reply, found)
        elif taken != [(m.id, value)] or found.notes:
            # the meter cannot show this figure there: it is asked about or told as not taken
            assert m.numeric, (taps, reply)
            assert not taken, (taps, reply)
            assert found.notes or [d.measurements for d in found.asked] == [(m.id,)], (reply, found)
        else:
            assert not found.asked, (reply, found)
            how = {every_part.kb.about.went_well: False, card_answer.FAILING: True}
            assert found.taken[0].symptom is how.get(reply.partition(", ")[2])
            sure.add(m.id)
    assert sure == {m.id for m in here}


def test_a_tap_replaces_what_it_contradicts_and_a_slip_is_told(browser: Any, every_part: Case) -> None:
    every_part.record("occurrence", "intermittent")
    page, cannot = card_page(every_part, "positive_leg_drop"), tap("cannot", "pos leg n/a")
    millivolts, failed, well = tap("unit", "mV"), tap("how", "failed"), tap("how", "cranked well")
    replies = browser.tapped(
        (page, [("#figure", "310"), millivolts, failed]),
        (page, [("#figure", "0,31"), failed, well]),
        (page, [("#figure", "0.31")]),
        (page, [("#figure", "0.3.1"), failed]),
        (page, [("#figure", "0.31"), failed, cannot]),
        (page, [cannot, ("#figure", "0.31"), failed]),
    )
    assert replies == [
        "pos leg 310 mV, failed", "pos leg 0.31 V, cranked well", "", "", "pos leg n/a",
        "pos leg 0.31 V, failed",
    ]  # fmt: skip


def test_a_proof_card_counts_tries_or_asks_whether_it_is_cured(browser: Any, repaired_small: Case) -> None:
    repaired_small.take_back()
    repaired_small.take_back()
    assert card_of(repaired_small).answer.choices[0].says == "done"
    repaired_small.repaired("replace_hot_cable")
    page = card_page(repaired_small)
    (reply,) = browser.tapped((page, [("#figure", "0.08"), tap("outcome", "cured")]))
    assert reply == "pos leg 0.08 V\ncured"


@pytest.mark.slow
def test_the_cautions_of_the_step_at_hand_are_open_and_none_is_lost(browser: Any, every_part: Case) -> None:
    page = card_page(every_part, "positive_leg_drop")
    card = card_of(every_part, "positive_leg_drop")
    assert page.index("Where the leads go") < page.index("Get ready") < page.index("Do this")
    assert page.count('<details class="safe" open="open">') == 1
    staged = [c for stage in card.ready for c in stage.cautions]
    assert {c.id for c in (*card.cautions, *staged)} >= set(
        every_part.guard.cautions_of_reading(every_part.kb.measurements["positive_leg_drop"])
    )
    told = "String([...document.querySelectorAll('.safe')].map(d => d.open))"
    opened = browser.tapped((page, [(".ready", "")]), told=told)
    (states,) = (told.split(",") for told in opened)
    assert states[:2] == ["false", "true"]
    assert states.count("true") == 1


@pytest.mark.slow
@pytest.mark.parametrize("width", [320, 390, 794, 1280])
def test_every_button_is_large_enough_for_a_glove(browser: Any, every_part: Case, width: int) -> None:
    names = ("positive_leg_drop", "crank_behaviour", "pull_in_resistance")
    for found in browser.laid_out(*((card_page(every_part, name, "7-114"), width, 844) for name in names)):
        assert (found["scroll"], found["wide"], found["overlapping"]) == (width, [], [])
        assert found["lowest_button"] >= 44  # CSS px, the least target of WCAG 2.2, 2.5.5
