"""Quantities out of any sense."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Finds = Callable[..., list[str]]

OVER = "measurements: {{cable_drop: {{like: cable_drop, {}}}}}\n"
LIMITS = "limits: [{{given: {{system_voltage: 24}}, at: [0.4, 10]}}, {{at: [{}, 5]}}]"


def test_a_clean_base_has_no_quantity_out_of_sense(finds: Finds) -> None:
    assert finds("quantities") == []
    assert finds("quantities", OVER.format(LIMITS.format("0.25"))) == []


@pytest.mark.parametrize(
    ("field", "says"),
    [
        ("minutes: 0", "0 minutes are out of any sense"),
        ("minutes: 1440", "1440 minutes are out of any sense"),
        ("error: {relative: 5, absolute: 0.01}", "more than a quarter of the reading"),
        ("error: {relative: 0}", "a meter without any error does not exist"),
        ("error: {relative: 0.05, absolute: 6}", "hides its own limit of 5 V"),
        (LIMITS.format("2"), "2 is out of line: the set that it replaces has"),
        ("healthy: {between: [6, 9]}", "which is 'full' by these limits"),
    ],
)
def test_a_quantity_out_of_sense_is_told(finds: Finds, field: str, says: str) -> None:
    told = finds("quantities", OVER.format(field))
    assert any(says in line for line in told), told



def test_a_sound_reading_that_is_doubted_is_told(finds: Finds) -> None:
    slip = "measurements: {joint_drop: {like: joint_drop, doubtful_above: 0.1}}\n"
    (told,) = finds("quantities", slip)
    assert told.endswith("joint_drop: above 0.1 V it is doubted, and a sound circuit reads 0.2")
