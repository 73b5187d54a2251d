"""Rules that make a fault read better than a sound circuit."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


RULE = "rules:\n  odd: {faults: [%s], measurements: [%s], reads: %s, %sbecause: so}\n"


def test_a_fault_that_reads_worse_is_fine(finds: Finds) -> None:
    assert finds("better_than_healthy", RULE % ("worn", "joint_drop", "{between: [0.4, 3]}", "")) == []


def test_a_range_below_the_healthy_one_is_told_where_faults_add(finds: Finds) -> None:
    (told,) = finds("better_than_healthy", RULE % ("worn", "joint_drop", "{between: [0.01, 0.05]}", ""))
    assert told == (
        "rules/odd: rule odd reads better than healthy in joint_drop: 0.01 to 0.05 V, "
        "and a sound circuit 0.02 to 0.2 V"
    )


def test_where_the_smallest_counts_a_range_above_the_healthy_one_is_told(finds: Finds) -> None:
    (told,) = finds("better_than_healthy", RULE % ("joint", "current", "{between: [400, 700]}", ""))
    assert told.endswith("in current: 400 to 700 A, and a sound circuit 250 to 500 A")


def test_nothing_read_now_and_then_is_no_better_reading(finds: Finds) -> None:
    rule = RULE % ("worn", "joint_drop", "{between: [0.4, 3], nothing: 0.2}", "")
    assert finds("better_than_healthy", rule) == []


def test_a_first_value_likelier_than_healthy_is_told(finds: Finds) -> None:
    rule = RULE % ("worn", "behaviour", "{normal: 0.99}", "")
    (told,) = [told for told in finds("better_than_healthy", rule) if "rule odd" in told]
    assert "'normal' is likelier by 0.01" in told


def test_a_mask_takes_the_reading_over_and_may_read_anything(finds: Finds) -> None:
    rule = RULE % ("worn", "joint_drop", "{between: [0.01, 0.05]}", "masks: 1, ")
    assert finds("better_than_healthy", rule) == []


def test_the_healthy_reading_that_goes_with_the_condition_counts(finds: Finds) -> None:
    base = {
        "old": "healthy: {between: [250, 500]}",
        "new": "healthy: [{given: {duty: light}, reads: {between: [50, 100]}}, "
        "{reads: {between: [250, 500]}}]",
    }
    heavy = RULE % ("joint", "current", "{between: [100, 200]}", "given: {duty: heavy}, ")
    assert [told for told in finds("better_than_healthy", heavy, **base) if "rule odd" in told] == []
    light = heavy.replace("heavy", "light")
    assert [told for told in finds("better_than_healthy", light, **base) if "rule odd" in told] != []
