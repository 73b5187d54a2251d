from __future__ import annotations

from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from crankpath.shell.outlets.drawing.canvas import (
    Canvas,
    ClosedShape,
    Label,
    overlap,
    text_width,
    wrapped_label,
)

TEXT = "{http://www.w3.org/2000/svg}text"


def test_boxes_overlap_only_when_they_share_more_than_an_edge() -> None:
    assert overlap((0, 0, 10, 10), (9, 9, 20, 20))
    assert not overlap((0, 0, 10, 10), (10, 0, 20, 10))
    assert not overlap((0, 0, 10, 10), (0, 11, 10, 20))


def test_a_label_takes_its_room_to_the_side_its_anchor_says() -> None:
    width = text_width("case", 10)
    assert Label(100, 50, "case", 10).box() == (100, 42, 100 + width, 52.5)
    assert Label(100, 50, "case", 10, "end").box()[0] == 100 - width
    assert Label(100, 50, "case", 10, "middle").box()[2] == 100 + width / 2


def test_a_shape_takes_its_radius_or_its_width() -> None:
    assert ClosedShape("circle", 10, 10, 4).box() == (6, 6, 14, 14)
    assert ClosedShape("box", 10, 10, 4, width=20).box() == (0, 6, 20, 14)


@given(st.text(max_size=40), st.text(max_size=40))
def test_any_text_comes_out_as_well_formed_xml_and_is_read_back(title: str, label: str) -> None:
    canvas = Canvas(title, label, 100, 100, labels=[Label(1, 1, label)])
    root = ElementTree.fromstring(canvas.svg())
    (found,) = root.iter(TEXT)
    assert (found.text or "") == "".join(c if c.isprintable() else " " for c in label)


@given(st.text(max_size=200), st.floats(20, 300), st.integers(1, 4))
def test_wrapped_text_keeps_to_its_room_and_its_lines(text: str, room: float, most: int) -> None:
    lines = wrapped_label(text, room, 12, most)
    assert len(lines) <= most
    assert all(text_width(line, 12) <= room for line in lines)


def test_wrapped_text_loses_nothing_while_there_is_room_and_says_so_when_there_is_none() -> None:
    assert " ".join(wrapped_label("joint of cable lug and starter battery stud", 120, 12, 9)) == (
        "joint of cable lug and starter battery stud"
    )
    assert wrapped_label("joint of cable lug and starter battery stud", 120, 12, 2)[-1].endswith("…")
