"""Names that belong to two things."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]


def test_different_names_are_fine(finds: Finds) -> None:
    assert (
        finds("same_name", "measurements:\n  c: {like: joint_drop, label: c drop, aliases: [third]}\n") == []
    )


def test_an_alias_of_two_measurements_is_told_whatever_its_case(finds: Finds) -> None:
    text = "measurements:\n  c: {like: joint_drop, label: c drop, aliases: [Joint_Drop]}\n"
    assert finds("same_name", text) == [
        "measurements/c: measurements c and joint_drop are both called 'Joint_Drop'"
    ]


def test_two_faults_with_one_label_are_told(finds: Finds) -> None:
    (told,) = finds("same_name", old="label: bad switch", new="label: bad cable")
    assert told.startswith("faults/switch: faults switch and cable are both called")
