"""The hand-over, word for word."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator

import pytest

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.handover import handover
from crankpath.shell.session.state import CaseState

from .conftest import TAKEN


@pytest.fixture(autouse=True)
def _one_clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


NOW = "2031-05-04T09:00:00Z"
WORKED = (
    *TAKEN,
    ("reading", {"measurement": "positive_leg_drop", "text": "50 mV", "symptom": True}, "field"),
    ("note", {"text": "smells hot at the frame"}, "field"),
    ("promised", {"text": "call back at 5"}, "advisor"),
    (
        "sent",
        {"text": "Read neg leg.", "waits_for": "negative leg drop", "measurement": "negative_leg_drop"},
        "advisor",
    ),
)


def test_a_handover_tells_what_is_known_pending_promised_and_noted(case: Callable[..., CaseState]) -> None:
    assert handover(case(*WORKED), NOW, 79) == [
        "== cranks slowly, loader 7",
        "Machine",
        "   - 12 V",
        "Known",
        '   - complaint: "cranks slowly"',
        "   - what it does in start: slow (operator, 08:02)",
        "   - every time or sometimes: every time (operator, 08:03)",
        "   - positive leg drop 50 mV: inside its limit (at most 0.4 V) (field, 08:06)",
        "Causes now",
        "  93 % ===================. bad ground cable",
        "   4 % =................... something not listed",
        "   4 % =................... bad positive cable",
        "Pending",
        "   - awaited: negative leg drop, asked at 08:09, 51 min ago, as BBBB-1",
        "   - next: positive leg drop",
        "Promised",
        "   - call back at 5 (advisor, 08:08)",
        "Notes",
        "   - smells hot at the frame (field, 08:07)",
    ]


def test_it_fits_a_narrow_terminal_and_says_the_same(case: Callable[..., CaseState]) -> None:
    narrow, wide = (handover(case(*WORKED), NOW, width) for width in (39, 79))
    assert max(map(len, narrow)) <= 39
    bars = {line for line in (*narrow, *wide) if " % " in line}

    def words(lines: list[str]) -> str:
        return " ".join(" ".join(line for line in lines if line not in bars).split())

    assert words(narrow) == words(wide)


def test_what_was_ruled_out_is_told_by_the_reading_that_did_it(
    case: Callable[..., CaseState], shipped: Knowledge
) -> None:
    read = ("reading", {"measurement": "positive_leg_drop", "text": "50 mV", "symptom": True}, "field")
    said = " ".join(handover(case(*TAKEN, read, kb=shipped), NOW, 79))
    assert "Ruled out    - by positive leg drop 50 mV: bad joint at the battery positive post" in said


def test_an_answered_message_and_a_kept_promise_are_not_pending(case: Callable[..., CaseState]) -> None:
    answered = ("reading", {"measurement": "negative_leg_drop", "text": "0.6", "symptom": True}, "field")
    kept = ("promised", {"text": "", "kept": f"{8:032x}"}, "advisor")
    state = case(*WORKED, answered, kept)
    said = "\n".join(handover(state, NOW, 79))
    assert "awaited" not in said
    assert "Promised" not in said
    assert "next: repair: replace the ground cable" in said


def test_a_repair_without_proof_is_pending(case: Callable[..., CaseState]) -> None:
    made = ("repaired", {"repair": "replace_ground", "cured": None}, "field")
    said = "\n".join(handover(case(*WORKED, made), NOW, 79))
    assert "proof of: replace the ground cable" in said


def test_a_reading_that_cannot_be_used_is_said(case: Callable[..., CaseState]) -> None:
    strange = ("reading", {"measurement": "no_such", "text": "1"}, "field")
    assert "Not usable" in handover(case(*TAKEN, strange), NOW, 79)


def test_a_closed_case_tells_its_cause(case: Callable[..., CaseState]) -> None:
    closed = handover(case(*WORKED, ("closed", {"causes": ["ground"]})), NOW, 79)
    assert "   - next: closed, cause: bad ground cable" in closed


@pytest.mark.parametrize("count", range(len(TAKEN)))
def test_a_case_that_is_just_being_taken_can_be_handed_over(
    case: Callable[..., CaseState], shipped: Knowledge, count: int
) -> None:
    said = handover(case(*TAKEN[:count], kb=shipped), NOW, 79)
    assert "Pending" in said
