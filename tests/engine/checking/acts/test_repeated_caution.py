"""Cautions written where what the act does carries them already."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]

CRANKS = "hazards: {cranks: {label: cranking, cautions: [ground_off]}}\n"
STATE = "cranking: {label: key held in start, symptom_shows: true}"


def test_a_caution_of_the_class_written_again_is_told(finds: Finds) -> None:
    new = STATE[:-1] + ", does: [cranks], cautions: [ground_off]}"
    assert finds("repeated_caution", CRANKS, STATE, new) == [
        "states/cranking: caution ground_off is carried by what the act does already"
    ]


def test_a_caution_of_its_own_is_not_told(finds: Finds) -> None:
    assert finds("repeated_caution", CRANKS, STATE, STATE[:-1] + ", cautions: [ground_off]}") == []
