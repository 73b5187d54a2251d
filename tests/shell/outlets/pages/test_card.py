from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError, UnknownName
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.pages import card_page
from crankpath.shell.outlets.pages.card_data import card_of

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
        "Before you touch anything Neutral, brake, chocks. Everybody clear. Battery gas: no sparks.",
        "Neutral, brake on, wheels chocked.", "batteries uncovered (3 min)", "cranking, fuel off",
        "positive post On the lead of the post.", "starter stud On the thread.",
        "Crank 3 s, read while it turns.", "No current, no drop.", "limit at most 0.4 V",
        "if it is bad positive cable 0.4 to 3 V",
        "if it is bad ground cable 50 mV to 0.2 V, as a sound circuit",
        "Send back e.g. pos leg 0.3 V If it cannot be taken: pos leg n/a.",
    ):  # fmt: skip
        assert piece in text, piece


def test_every_card_holds_every_caution_of_its_reading(every_part: Case, shipped: Knowledge) -> None:
    for m in every_part.assessment.model.measurements.values():
        text = said(card_page(every_part, m.id))
        for name in (*m.cautions, *shipped.states[m.state].cautions):
            caution = shipped.cautions[name]
            assert " ".join(caution.short.split()) in text, m.id
            assert " ".join(caution.text.split()) in text, m.id


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
    assert card.work == ("Cable off.", "New one on.")
    assert card.asks == "Cause: bad positive cable (99 %). Proof after it: positive leg drop."
    assert [c.id for c in card.cautions] == ["ground_off", "gas"]


def test_a_made_repair_has_a_card_for_its_proof(repaired_small: Case) -> None:
    repaired_small.take_back()
    repaired_small.take_back()
    repaired_small.repaired("replace_hot_cable")
    card = card_of(repaired_small)
    assert card.purpose == "proof of the repair: replace the positive cable"
    assert card.reading == "positive_leg_drop"
    assert card.cranks == "Then crank once more, and send: cured, or not cured."


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
