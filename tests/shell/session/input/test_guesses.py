"""What the operator's words sound like."""

from __future__ import annotations

import pytest
from shipped_base import shipped_knowledge

from crankpath.shell.session.input.guesses import guess, told_when


@pytest.mark.parametrize(
    ("complaint", "asked", "value"),
    [
        ("just clicks, every time", "occurrence", "every_time"),
        ("just clicks, every time", "crank_behaviour", "single_click"),
        ("two or three of ten times it only clicks", "occurrence", "intermittent"),
        ("nothing happens", "occurrence", None),
        ("cranks slowly", "occurrence", None),
    ],
)
def test_a_complaint_that_tells_nothing_of_it_gives_no_guess(
    complaint: str, asked: str, value: str | None
) -> None:
    assert guess(shipped_knowledge(), complaint, asked) == value


def test_a_reading_is_no_number_of_the_list_of_times() -> None:
    kb = shipped_knowledge()
    assert told_when(kb, "12.6") is None
    assert told_when(kb, "6 of 10") is None
    assert told_when(kb, "1, 2") == {"when_hot": True, "when_cold": True}
