"""The message for each question."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from crankpath.shell.desk.outgoing import outgoing
from crankpath.shell.outlets.messages import LEAST_LIMIT
from crankpath.shell.session.questions import AskComplaint, AskMachine, AskWhen, question
from crankpath.shell.session.state import CaseState

from .conftest import TAKEN

BAD = ("reading", {"measurement": "negative_leg_drop", "text": "0.6", "symptom": True})
GOOD = ("reading", {"measurement": "positive_leg_drop", "text": "50 mV", "symptom": True})
MADE = ("repaired", {"repair": "replace_ground", "cured": None})


def sent(state: CaseState, limit: int = 160, **more: object) -> str:
    return " ".join(outgoing(state, question(state), limit, **more).parts)  # type: ignore[arg-type]


def test_every_caution_of_a_reading_is_in_its_message_and_kept_with_it(
    case: Callable[..., CaseState],
) -> None:
    state = case(*TAKEN)
    message = outgoing(state, question(state), 160)
    assert set(message.cautions) == {"chocks", "clear", "gas"}
    for caution in message.cautions:
        assert state.kb.cautions[caution].short in " ".join(message.parts)
    assert set(message.measurements) <= {"positive_leg_drop", "negative_leg_drop"}
    assert message.waits_for == ", ".join(state.kb.measurements[m].label for m in message.measurements)


@pytest.mark.parametrize("limit", [LEAST_LIMIT, 100, 160, 300])
def test_no_part_is_longer_than_the_limit(case: Callable[..., CaseState], limit: int) -> None:
    for told in ((), TAKEN, (*TAKEN, BAD, GOOD), (*TAKEN, BAD, GOOD, MADE)):
        state = case(*told)
        assert all(len(part) <= limit for part in outgoing(state, question(state), limit).parts)


def test_a_proven_repair_is_sent_with_its_proof(case: Callable[..., CaseState]) -> None:
    text = sent(case(*TAKEN, BAD, GOOD))
    assert "REPAIR: replace the ground cable." in text
    assert "Proof after it: negative leg drop" in text


def test_after_the_repair_its_proof_is_sent(case: Callable[..., CaseState]) -> None:
    assert "PROOF of the repair: replace the ground cable." in sent(case(*TAKEN, BAD, GOOD, MADE))


def test_a_reading_of_the_advisors_choice_is_sent_instead(case: Callable[..., CaseState]) -> None:
    assert "battery while cranking" in sent(case(*TAKEN), measurement="battery_crank_voltage")


def test_the_whole_procedure_is_sent_uncut(case: Callable[..., CaseState]) -> None:
    text = sent(case(*TAKEN), whole=True, measurement="positive_leg_drop")
    assert "1. Crank 3 s, read while it turns." in text
    assert "SAFETY: Neutral, brake on, wheels chocked." in text


@pytest.mark.parametrize(
    ("asked", "words"),
    [(AskComplaint(), "operator say"), (AskMachine(), "12 or 24 volts?"), (AskWhen(), "When is it worst?")],
)
def test_the_questions_by_which_a_case_is_taken_can_be_sent(
    case: Callable[..., CaseState], asked: object, words: str
) -> None:
    assert words in " ".join(outgoing(case(), asked, 160).parts)  # type: ignore[arg-type]


def test_steps_are_numbered_by_what_was_answered(case: Callable[..., CaseState]) -> None:
    first = outgoing(case(*TAKEN), question(case(*TAKEN)), 160)
    asked = ("sent", {"text": "t", "waits_for": first.waits_for, "measurements": list(first.measurements)})
    assert first.number == 1
    for told, number in ((asked,), 1), ((asked, GOOD, BAD), 2):
        state = case(*TAKEN, *told)
        assert outgoing(state, question(state), 160).number == number
