from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crankpath.shell.outlets.drawing.canvas import Canvas, overlap
from crankpath.shell.outlets.drawing.picture import Picture
from crankpath.shell.outlets.drawing.svg import draw_circuit, lay_out_circuit

Draw = Callable[..., Picture]
SVG = "{http://www.w3.org/2000/svg}"


def texts(svg: str) -> list[str]:
    return [found.text or "" for found in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def assert_all_is_legible(canvas: Canvas) -> None:
    """No label on another, on a shape it does not stand in, or off the sheet."""
    for a, b in combinations(canvas.labels, 2):
        assert not overlap(a.box(), b.box()), f"{a.text!r} on {b.text!r}"
    for label in canvas.labels:
        left, top, right, bottom = label.box()
        assert left >= 0, label
        assert top >= 0, label
        assert right <= canvas.width, label
        assert bottom <= canvas.height, label
        for shape in canvas.shapes:
            x0, y0, x1, y1 = shape.box()
            inside = x0 <= label.x <= x1 and y0 <= label.y <= y1
            assert inside or not overlap(label.box(), shape.box()), f"{label.text!r} on a {shape.sort}"


ALL_VALUES = dict.fromkeys(
    ("battery", "cable_in", "switch", "cable_out", "stud_joint", "motor", "ground", "key", "coil"),
    "12.34 V",
)


@pytest.mark.parametrize("leads", [None, ("positive", "stud"), ("case", "negative"), ("terminal", "case")])
@pytest.mark.parametrize("disconnect", [True, False])
def test_nothing_is_drawn_over_a_label(draw: Draw, leads: tuple[str, str] | None, disconnect: bool) -> None:
    picture = draw(leads, ALL_VALUES, disconnect=disconnect)
    assert_all_is_legible(lay_out_circuit(picture, title="Positive leg drop"))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(text=st.text(max_size=90), value=st.text(max_size=40))
def test_no_text_is_long_enough_to_be_drawn_over_another(draw: Draw, text: str, value: str) -> None:
    labels = dict.fromkeys(("battery", "cable", "stud_joint", "motor", "ground", "key", "coil"), text)
    seen = draw(("positive", "stud"), dict.fromkeys(labels, value), labels=labels)
    assert_all_is_legible(lay_out_circuit(seen, title=text))


def test_texts_are_escaped_and_the_document_is_well_formed(draw: Draw) -> None:
    svg = draw_circuit(draw(values={"ground": "<b>&"}), title='"Leg" <script>')
    assert "ground cable <2 m & 50 mm²>" in texts(svg)
    assert "<b>&" in texts(svg)
    assert "<script>" not in svg


def test_the_document_needs_nothing_from_outside(draw: Draw) -> None:
    svg = draw_circuit(draw(), title="Circuit").replace("http://www.w3.org/2000/svg", "")
    assert not any(word in svg for word in ("http", "href", "url(", "@import", "<script", "<style"))


def test_leads_are_told_by_shape_and_letter_and_the_reading_by_breadth(draw: Draw) -> None:
    seen = lay_out_circuit(draw(("positive", "stud")), title="Leg", control=False)
    (diamond,) = [shape for shape in seen.shapes if shape.sort == "diamond"]
    (square,) = [shape for shape in seen.shapes if shape.sort == "square"]
    letters = {label.text: (label.x, label.y) for label in seen.labels if label.text in ("R", "B")}
    assert letters["R"][0] == diamond.x
    assert letters["B"][0] == square.x
    assert diamond.y < square.y  # the red lead is on the post, above the stud
    assert sum(stroke.width == 9 for stroke in seen.strokes if stroke.colour != "#fdfcf8") == 2


def test_every_point_and_segment_of_both_circuits_is_named(draw: Draw) -> None:
    said = texts(draw_circuit(draw(), title="Circuit"))
    for name in ("B+ post", "pos lug", "BAT stud", "case", "B- post", "key start", "S term", "coil -"):
        assert name in said
    for label in ("battery bank", "positive cable", "starter motor", "relay coil", "solenoid windings"):
        assert label in said


def test_one_circuit_can_be_left_out(draw: Draw) -> None:
    assert "relay coil" not in texts(draw_circuit(draw(), title="Main", control=False))
    assert "starter motor" not in texts(draw_circuit(draw(), title="Control", main=False))


def test_a_screen_reader_is_told_the_title(draw: Draw) -> None:
    root = ElementTree.fromstring(draw_circuit(draw(), title="Positive leg drop"))
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title") == "Positive leg drop"
