"""When a promise is due."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest

from crankpath.shell.desk.due import due_at

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
