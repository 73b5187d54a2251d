"""Circuits that do not hang together."""

from __future__ import annotations

from collections.abc import Callable

Finds = Callable[..., list[str]]

SPLICE = """points: {in: {label: in}, out: {label: out}}
segments:
  cable: {like: cable, ends: [post, in]}
  splice: {like: joint, label: splice, ends: [in, out]}
  behind: {like: cable, label: cable behind, ends: [%s, lug]}
faults:
  splice: {like: joint, label: splice, places: [splice]}
  cable: {like: cable, places: [cable, cable_to_switch, behind]}
"""


def test_a_piece_put_into_a_cable_is_fine(finds: Finds) -> None:
    assert finds("circuit_shape") == []
    assert finds("circuit_shape", SPLICE % "out") == []


def test_a_segment_that_passes_a_point_by_is_told(finds: Finds) -> None:
    (told,) = finds("circuit_shape", SPLICE % "in")
    assert told.startswith(("segments/behind: ", "segments/cable: "))
    assert "out" in told


def test_a_segment_between_a_point_and_itself_is_told(finds: Finds) -> None:
    told = finds("circuit_shape", old="ends: [lug, stud]", new="ends: [lug, lug]")
    assert "segments/joint: segment joint begins and ends at lug" in told


def test_a_segment_no_fault_has_is_told(finds: Finds) -> None:
    text = SPLICE.replace("places: [splice]", "places: [joint]") % "out"
    assert finds("circuit_shape", text) == ["segments/splice: segment splice is the place of no fault"]


def test_a_fault_where_its_place_never_is_is_told(finds: Finds) -> None:
    text = "faults: {cable: {like: cable, places: [cable], only: {disconnect: true}}}\n"
    (told,) = [told for told in finds("circuit_shape", text) if "faults/" in told]
    assert "no machine that its 'only' names has its place (cable)" in told
