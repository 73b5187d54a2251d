"""Sums that cannot come out."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]

LEG = """measurements:
  leg_drop:
    {like: cable_drop, label: leg drop, asks: How much in all?, between: [post, stud], leaves_out: [switch]}
balances:
  leg: {sort: sum, whole: leg_drop, parts: [%s], only: {disconnect: false}, because: so}
"""


def test_parts_that_make_the_whole_are_fine(finds: Finds) -> None:
    assert finds("sums", LEG % "cable_drop, joint_drop") == []


def test_a_part_left_out_and_a_part_twice_are_told(finds: Finds) -> None:
    (told,) = finds("sums", LEG % "cable_drop")
    assert told == "balances/leg: balance leg: no part answers for joint"
    (told,) = finds("sums", LEG % "cable_drop, cable_drop")
    assert "cable_drop stands in it twice" in told


def test_a_part_of_another_state_is_told(finds: Finds) -> None:
    text = "states: {rested: {label: rested}}\n" + LEG.replace(
        "measurements:\n", "measurements:\n  joint_drop: {like: joint_drop, state: rested}\n"
    )
    told = finds("sums", text % "cable_drop, joint_drop")
    assert any("joint_drop is read in the state 'rested'" in line for line in told)
