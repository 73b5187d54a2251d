"""Ranges that no meter can read, that say nothing, or that cannot be worked out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Finds = Callable[..., list[str]]


RULE = "rules:\n  odd: {faults: [worn], measurements: [joint_drop], %sreads: {%s}, because: so}\n"


def test_ranges_that_a_meter_can_read_are_fine(finds: Finds) -> None:
    assert finds("ranges") == []
    assert finds("ranges", RULE % ("", 'between: [0.4, {formula: "system_voltage / 4"}], whole: 0.2')) == []


@pytest.mark.parametrize(
    ("reads", "said"),
    [
        ("between: [3, 0.4]", "its low end is above its high end (3, 0.4"),
        ('between: [2, {formula: "system_voltage / 12"}]', "(2, 1 with system_voltage 12)"),
        ("between: [0.4, 20]", "20 V cannot be read: 'most' is 15.6 with system_voltage 12"),
        ("between: [0.001, 15]", "from 0.001 to 15 V it says nearly nothing"),
        ("between: [0.4, 3], nothing: 0.7, whole: 0.6", "its shares add up to 1.3"),
        ('between: [0.4, {formula: "2 + (air + 60) / 100"}]', "while air is not known"),
    ],
)
def test_each_slip_of_a_rule_is_told_once(finds: Finds, reads: str, said: str) -> None:
    (told,) = finds("ranges", RULE % ("", reads))
    assert told.startswith("rules/odd: rule odd in joint_drop: ")
    assert said in told


def test_a_fact_that_the_condition_makes_known_is_known(finds: Finds) -> None:
    reads = 'between: [0.4, {formula: "2 + (air + 60) / 100"}]'
    assert finds("ranges", RULE % ("given: {air: known}, ", reads)) == []


def test_a_share_of_the_whole_battery_needs_what_that_reads(finds: Finds) -> None:
    rule = RULE.replace("joint_drop", "current") % ("", "between: [50, 100], whole: 0.2")
    (told,) = finds("ranges", rule)
    assert told.endswith("current does not say what the whole supply reads there")


def test_healthy_ranges_are_looked_at_too(finds: Finds) -> None:
    (told,) = finds("ranges", old="healthy: {between: [250, 500]}", new="healthy: {between: [500, 250]}")
    assert told.startswith("measurements/current: current healthy: its low end is above")
