"""A pasted reply as entries for a case."""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.incoming import incoming
from crankpath.shell.session.state import CaseState

from .conftest import TAKEN

READ = {"measurement": "positive_leg_drop", "text": ".35", "symptom": None}


def test_several_readings_in_one_line_are_items_of_their_own(
    case: Callable[..., CaseState], shipped: Knowledge
) -> None:
    found = incoming(case(*TAKEN, kb=shipped), "pos .35 neg 240mV crank 9.8")
    assert [item.write.body["text"] for item in found.items] == [".35", "240 mV", "9.8"]
    assert found.items[0].says == 'pos leg: 0.35 V   ("pos .35")'
    assert (found.asks, found.unknown) == ((), ())


def test_a_bare_number_answers_what_was_asked(case: Callable[..., CaseState]) -> None:
    found = incoming(case(*TAKEN), ".35", ["positive_leg_drop"])
    assert [item.write.body for item in found.items] == [READ]


def test_a_number_too_large_is_asked_back_with_what_it_may_be(case: Callable[..., CaseState]) -> None:
    found = incoming(case(*TAKEN), "pos leg 310", ["positive_leg_drop"])
    assert found.items == ()
    assert "310 V is not possible" in found.asks[0].message
    assert [option.write.body["text"] for option in found.asks[0].options] == ["310 mV"]


def test_what_is_just_talk_becomes_a_note(case: Callable[..., CaseState]) -> None:
    found = incoming(case(*TAKEN), "pos leg .35\nrained all night")
    assert [item.write.kind for item in found.items] == ["reading", "note"]
    assert found.items[1].write.body == {"text": "rained all night"}


def test_a_reading_this_machine_does_not_have_is_said(
    case: Callable[..., CaseState], shipped: Knowledge
) -> None:
    state = case(*TAKEN, kb=shipped)
    absent = shipped.measurements["disconnect_drop"]
    assert absent.id not in state.case.assessment.model.measurements
    found = incoming(state, f"{absent.label} n/a")
    assert not any(item.write.kind == "cannot" for item in found.items)
    assert f"This machine has no {absent.label}" in " ".join(found.unknown) or found.asks


def test_the_first_words_of_a_case_are_its_complaint(case: Callable[..., CaseState]) -> None:
    found = incoming(case(), "it just cranks slow")
    assert ("complaint", {"text": "it just cranks slow"}) in [
        (i.write.kind, i.write.body) for i in found.items
    ]


def test_done_answers_a_repair_and_nothing_else(case: Callable[..., CaseState]) -> None:
    state = case(*TAKEN)
    done = incoming(state, "Done!", repair="replace_ground")
    assert [(i.write.kind, i.write.body.get("repair")) for i in done.items] == [
        ("repaired", "replace_ground")
    ]
    assert [i.write.kind for i in incoming(state, "done").items] == ["note"]


def test_cured_and_not_cured_answer_a_repair_whose_proof_is_due(case: Callable[..., CaseState]) -> None:
    state = case(*TAKEN, ("repaired", {"repair": "replace_ground", "cured": None}))
    assert incoming(state, "cured").items[0].write.body["cured"] is True
    assert incoming(state, "not cured").items[0].write.body["cured"] is False


def test_tries_are_counted_as_the_message_asks_for_them(case: Callable[..., CaseState]) -> None:
    found = incoming(case(*TAKEN), "failed 0 of 5")
    assert [(i.write.kind, i.write.body) for i in found.items] == [("tries", {"failures": 0, "of": 5})]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(alphabet=st.sampled_from("posneglg .,0123456789mVA\n?!\x1bkcild"), max_size=60))
def test_whatever_is_pasted_every_reading_shown_goes_into_the_case(
    case: Callable[..., CaseState], text: str
) -> None:
    found = incoming(case(*TAKEN), text, ["positive_leg_drop"])
    for item in (*found.items, *(option for ask in found.asks for option in ask.options)):
        if item.write.kind == "reading":
            taken = case(*TAKEN, ("reading", {**item.write.body, "symptom": True}))
            assert taken.entered[-1].trouble == ""


def test_a_note_keeps_the_whole_sentence(case: Callable[..., CaseState]) -> None:
    found = incoming(case(*TAKEN), "pos leg .35. Wet inside the box, pos leg looks green.\nneg leg .2")
    notes = [item.write.body["text"] for item in found.items if item.write.kind == "note"]
    assert notes == ["Wet inside the box, pos leg looks green"]
