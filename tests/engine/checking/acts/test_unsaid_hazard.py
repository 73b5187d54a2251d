"""Acts whose own words tell of a danger that they do not name."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]

CRANKS = "hazards: {cranks: {label: cranking, said: [while cranking], cautions: [ground_off]}}\n"
OLD = "steps: [off, brush, on], minutes: 15"


def test_a_step_that_cranks_and_does_not_say_so_is_told(finds: Finds) -> None:
    new = "steps: [off, Read while cranking.], minutes: 15"
    assert finds("unsaid_hazard", CRANKS, OLD, new) == [
        "repairs/clean_joint: 'while cranking' is cranking, which the act does not say"
    ]


def test_a_step_that_says_so_is_not_told(finds: Finds) -> None:
    new = "steps: [off, {step: Read while cranking., does: [cranks]}], minutes: 15"
    assert finds("unsaid_hazard", CRANKS, OLD, new) == []


def test_a_repair_that_says_it_as_a_whole_is_not_told(finds: Finds) -> None:
    new = "steps: [off, Read while cranking.], does: [cranks], minutes: 15"
    assert finds("unsaid_hazard", CRANKS, OLD, new) == []
