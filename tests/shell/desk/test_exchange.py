"""What was sent, is awaited, was promised."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from crankpath.shell.desk.exchange import (
    answering,
    awaited,
    cautions_sent,
    letters_of,
    promises,
    reference,
    step_number,
)
from crankpath.shell.store import Event


def events(*told: tuple[str, Mapping[str, Any]]) -> list[Event]:
    return [Event(str(n), "c", n, kind, body, "", "", "advisor", "a") for n, (kind, body) in enumerate(told)]


SENT: tuple[str, Mapping[str, Any]] = ("sent", {"text": "t", "cautions": ["gas"]})
READ: tuple[str, Mapping[str, Any]] = ("reading", {"measurement": "m"})


def test_a_message_is_awaited_until_something_answers_it() -> None:
    assert awaited(events(SENT)) is not None
    assert awaited(events(SENT, ("note", {"text": "rang"}))) is not None
    assert awaited(events(SENT, READ)) is None
    assert awaited(events()) is None


def asking(step: int, *names: str) -> tuple[str, Mapping[str, Any]]:
    return "sent", {"text": "t", "step": step, "measurements": list(names), "waits_for": "w"}


def test_what_is_sent_again_unanswered_keeps_its_number() -> None:
    assert step_number(events(), ("m",), "w") == 1
    assert step_number(events(asking(1, "m")), ("m",), "w") == 1
    assert step_number(events(asking(1, "m"), READ), ("m",), "w") == 2
    assert step_number(events(asking(1, "m")), ("other",), "w") == 2


def test_a_message_with_several_questions_is_awaited_until_each_is_answered() -> None:
    both = asking(1, "m", "n")
    assert awaited(events(both, READ)) is not None
    assert awaited(events(both, READ, ("cannot", {"measurement": "n"}))) is None


def test_a_reply_names_the_step_it_answers_wherever_it_says_so() -> None:
    mark = reference("0f3a" + "0" * 28, 12)
    for text in (f"{mark} 12.6 V", f"12.6 V {mark}", f"Re {mark.lower()}: 12.6 V"):
        found = answering(text)
        assert found is not None
        assert (found.letters, found.number) == (letters_of("0f3a"), 12)
        assert "12.6 V" in found.text
        assert mark not in found.text


@pytest.mark.parametrize("text", ["12.6 V", "part 0331-303", "kd-3", "the BCDF relay", "x.bcdf-3", ""])
def test_part_numbers_and_readings_are_no_reference(text: str) -> None:
    assert answering(text) is None


def test_a_promise_is_open_until_it_is_kept() -> None:
    told = events(
        ("promised", {"text": "a"}), ("promised", {"text": "b"}), ("promised", {"text": "b", "kept": "0"})
    )
    assert [event.body["text"] for event in promises(told)] == ["b"]


def test_cautions_of_every_message_are_known_as_sent() -> None:
    assert cautions_sent(events(SENT, ("sent", {"cautions": "gas"}), ("sent", {"cautions": ["b"]}))) == {
        "gas",
        "b",
    }
