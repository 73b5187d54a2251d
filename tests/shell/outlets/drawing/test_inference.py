from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.shell.outlets.drawing.canvas import MARK, Canvas, overlap
from crankpath.shell.outlets.drawing.inference import (
    Expectation,
    PlottedRange,
    draw_inference,
    lay_out_inference,
)

LEG = Expectation("leg drop", (("low", 0.05, 0.9), ("high", 0.945, 0.1), ("full", 0.005, 0.0)), "across_<it>")
CRANK = Expectation("crank behaviour", (("normal", 0.2, 0.95), ("slow", 0.8, 0.05)), "slow_rule")


def assert_no_label_on_another(canvas: Canvas) -> None:
    for a, b in combinations(canvas.labels, 2):
        assert not overlap(a.box(), b.box()), f"{a.text!r} on {b.text!r}"
    for label in canvas.labels:
        left, top, right, bottom = label.box()
        assert left >= 0, label
        assert top >= 0, label
        assert right <= canvas.width, label
        assert bottom <= canvas.height, label


def said(svg: str) -> str:
    found = ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    return " ".join(text.text or "" for text in found)


def test_chances_with_the_fault_and_without_are_written_out() -> None:
    text = said(draw_inference("positive cable", [LEG]))
    assert "low 5 % (sound 90 %), high 94 % (sound 10 %), full <1 % (sound 0 %)" in text


def test_a_range_lies_on_the_line_of_its_meter_with_ticks_for_nothing_and_the_whole_battery() -> None:
    with_fault = PlottedRange((0.2, 0.5), ((0.0, 0.1), (0.9, 0.2)))
    words = "0.4 to 3 V; sound up to 0.2 V"
    one = Expectation("contact drop", (), "rule", (with_fault, PlottedRange((0.0, 0.1))), words)
    canvas = lay_out_inference("burnt contacts", [one])
    bars = [s for s in canvas.shapes if s.sort == "square" and s.fill != s.stroke]
    first, second = (s.box() for s in bars)
    assert (first[2] - first[0]) == pytest.approx(3 * (second[2] - second[0]))
    ticks = [s for s in canvas.shapes if s.sort == "square" and s.fill == s.stroke]
    assert [round(s.x) for s in ticks] == [318, 318 + round(0.9 * 558)]
    assert ticks[0].radius < ticks[1].radius
    assert "0.4 to 3 V; sound up to 0.2 V" in said(canvas.svg())


def test_every_measurement_has_a_line_from_the_fault_to_it() -> None:
    canvas = lay_out_inference("positive cable", [LEG, CRANK])
    links = [stroke for stroke in canvas.strokes if len(stroke.points) == 4]
    assert len({stroke.points[0] for stroke in links}) == 1
    assert len({stroke.points[-1] for stroke in links}) == 2


def test_the_parts_of_a_bar_are_as_wide_as_their_chances_and_the_likeliest_is_outlined() -> None:
    shapes = lay_out_inference("cable", [CRANK]).shapes
    widths = {s.stroke: s.width or 0 for s in shapes if s.sort == "square" and s.radius == 11}
    assert abs(widths[MARK] / sum(widths.values()) - 0.8) < 1e-9


def test_a_fault_no_rule_speaks_of_says_so() -> None:
    assert "No rule speaks of it" in said(draw_inference("ring gear", []))


def test_texts_are_escaped() -> None:
    assert "across_<it>" in said(draw_inference("cable & clamp", [LEG]))
    assert "cable & clamp" in said(draw_inference("cable & clamp", [LEG]))


CHANCES = st.floats(0, 1)
TEXTS = st.text(max_size=60)
BANDS = st.lists(st.tuples(st.text(max_size=20), CHANCES, CHANCES), min_size=1, max_size=8).map(tuple)


PLACES = st.floats(0, 1)
SPANS = st.builds(
    PlottedRange,
    st.none() | st.tuples(PLACES, PLACES).map(lambda ends: (min(ends), max(ends))),
    st.lists(st.tuples(PLACES, CHANCES), max_size=2).map(tuple),
)
OBSERVED = st.builds(Expectation, TEXTS, BANDS, TEXTS)
METERED = st.builds(Expectation, TEXTS, st.just(()), TEXTS, st.tuples(SPANS, SPANS), st.text(max_size=200))
EXPECTED = st.lists(OBSERVED | METERED, max_size=4)


@settings(max_examples=25)
@given(fault=st.text(max_size=120), expected=EXPECTED)
def test_no_label_is_drawn_over_another(fault: str, expected: list[Expectation]) -> None:
    assert_no_label_on_another(lay_out_inference(fault, expected))
    ElementTree.fromstring(draw_inference(fault, expected))
