"""Rules that make a fault read better than a sound circuit."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


RULE = "rules:\n  odd: {faults: [%s], measurements: [%s], reads: %s, %sbecause: so}\n"


def test_a_fault_that_reads_worse_is_fine(finds: Finds) -> None:
    assert finds("better_than_healthy", RULE % ("worn", "joint_drop", "{low: 0.5, high: 0.4}", "")) == []


def test_a_first_band_likelier_than_healthy_is_told_where_faults_push_up(finds: Finds) -> None:
    (told,) = finds("better_than_healthy", RULE % ("worn", "joint_drop", "{low: 0.99}", ""))
    assert told.startswith(
        "rules/odd: rule odd reads better than healthy in joint_drop: 'low' is likelier by 0.04"
    )


def test_where_faults_push_down_the_last_band_is_the_good_one(finds: Finds) -> None:
    (told,) = finds("better_than_healthy", RULE % ("joint", "current", "{normal: 0.99}", ""))
    assert "'normal' is likelier" in told


def test_a_mask_takes_the_reading_over_and_may_read_anything(finds: Finds) -> None:
    assert finds("better_than_healthy", RULE % ("worn", "joint_drop", "{low: 0.99}", "masks: 1, ")) == []


def test_the_healthy_reading_that_goes_with_the_condition_counts(finds: Finds) -> None:
    base = {
        "old": "healthy: {none: 0.01, low: 0.05, normal: 0.94}",
        "new": "healthy: [{given: {duty: light}, reads: {low: 0.9}}, {reads: {normal: 0.94}}]",
    }
    heavy = RULE % ("joint", "current", "{normal: 0.4, low: 0.4}", "given: {duty: heavy}, ")
    assert [told for told in finds("better_than_healthy", heavy, **base) if "rule odd" in told] == []
    light = heavy.replace("heavy", "light")
    assert [told for told in finds("better_than_healthy", light, **base) if "rule odd" in told] != []
