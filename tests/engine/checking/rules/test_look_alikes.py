"""Faults with different repairs that no reading can tell apart."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


TWIN = """faults:
  twin: {like: joint, label: bad lug, places: [%s], repair: %s, proof: joint_drop}
repairs:
  renew_lug: {like: clean_joint, label: renew the lug}
"""


def test_two_faults_of_one_place_with_two_repairs_are_told(finds: Finds) -> None:
    (told,) = finds("look_alikes", TWIN % ("joint", "renew_lug"))
    assert told.startswith("faults/twin: fault twin cannot be told from joint (slight reads as slight")
    assert "mistaken 50% of the time" in told


def test_two_faults_with_one_repair_need_not_be_told_apart(finds: Finds) -> None:
    assert finds("look_alikes", TWIN % ("joint", "clean_joint")) == []


def test_two_faults_of_two_places_with_a_reading_across_each_are_fine(finds: Finds) -> None:
    assert finds("look_alikes") == []


def test_without_the_reading_across_one_alone_two_places_are_told(finds: Finds) -> None:
    base = {"old": "between: [lug, stud]", "new": "between: [post, stud]"}
    whole = (
        "measurements: {cable_drop: {like: cable_drop, covers: [[post, stud]]}}\n"
        "faults: {joint: {like: joint}, cable: {like: cable}}\n"
    )
    assert any("joint cannot be told from cable" in told for told in finds("look_alikes", whole, **base))
