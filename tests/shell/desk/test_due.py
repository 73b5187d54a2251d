"""When a promise is due."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest

from crankpath.shell.desk.due import due_at, due_words

NOON = "2031-05-04T12:00:00Z"


@pytest.fixture(autouse=True)
def _two_hours_east(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "XXX-2")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize(
    ("said", "due"),
    [
        ("look again 2031-06-01 at it", "2031-05-31T22:00"),
        ("call back in 40 min", "2031-05-04T12:40"), ("look it up within an hour", "2031-05-04T13:00"),
        ("send it in half an hour", "2031-05-04T12:30"), ("ring at 16:00", "2031-05-04T14:00"),
        ("ring at 5", "2031-05-04T15:00"), ("ring by five", "2031-05-04T15:00"),
        ("ring at 9 am", "2031-05-05T07:00"), ("call at 13:30", "2031-05-05T11:30"),
        ("parts come tomorrow at 8", "2031-05-05T06:00"), ("around 3pm", "2031-05-04T13:00"),
    ],
)  # fmt: skip
def test_a_time_on_the_wall_or_a_span_is_the_next_such_time(said: str, due: str) -> None:
    assert due_at(said, NOON, {"five": 5.0}) == f"{due}:00+00:00"


@pytest.mark.parametrize(
    "said", ["look up the cable", "at 12.6 V it cranks", "send 2 clamps", "at 25:00", "by 14 V"]
)
def test_a_promise_without_a_time_is_due_at_none(said: str) -> None:
    assert due_at(said, NOON) is None


@pytest.mark.parametrize(
    ("said", "now", "told"),
    [
        ("call back at 17:00", NOON, "17:00 call back"),
        ("call back at 17:00 and bring the drawing", NOON, "17:00 call back and bring the drawing"),
        ("call back at 17:00", "2031-05-04T15:01:00Z", "OVERDUE 17:00 call back"),
        ("look it up within an hour", NOON, "15:00 look it up"),
        ("parts come tomorrow at 8", NOON, "2031-05-05 08:00 parts come"),
        ("look again 2031-06-01 at it", NOON, "2031-06-01 look again at it"),
        ("look again 2031-06-01 at it", "2031-06-01T20:00:00Z", "2031-06-01 look again at it"),
        ("look again 2031-06-01 at it", "2031-06-01T22:01:00Z", "OVERDUE 2031-06-01 look again at it"),
    ],
)
def test_the_time_of_a_promise_is_said_once(said: str, now: str, told: str) -> None:
    due = due_at(said, NOON)
    assert due is not None
    assert due_words(said, due, now) == told
