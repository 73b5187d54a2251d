"""What was sent, is awaited, was promised."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from crankpath.shell.desk.exchange import awaited, cautions_sent, promises, step_number
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


def test_a_step_that_was_not_answered_keeps_its_number() -> None:
    assert step_number(events()) == 1
    assert step_number(events(SENT, SENT)) == 1
    assert step_number(events(SENT, READ, READ)) == 2
    assert step_number(events(SENT, READ, SENT, READ)) == 3


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
