"""How a recording is laid out: found where it can be seen, refused where it can be read in two ways."""

from __future__ import annotations

import pytest

from crankpath.engine.errors import RecordingError
from crankpath.engine.recordings.layout import Column, cells_of, layout_of


def test_a_header_with_units_is_read() -> None:
    layout = layout_of(["Time (ms),CH1 [V],clamp/mV", "0,12.6,0.1", "10,12.6,0.2"])
    assert layout.columns == (Column(1, "Time", "ms"), Column(2, "CH1", "V"), Column(3, "clamp", "mV"))
    assert (layout.separator, layout.decimal, layout.first) == (",", ".", 2)
    assert layout.time == layout.columns[0]


def test_units_may_stand_on_a_line_of_their_own_below_other_lines() -> None:
    layout = layout_of(["logger 7", "", "t;U;I", "(s);(V);(A)", "0,00;12,61;0,3", "0,01;12,60;0,2"])
    assert layout.columns == (Column(1, "t", "s"), Column(2, "U", "V"), Column(3, "I", "A"))
    assert (layout.separator, layout.decimal, layout.first) == (";", ",", 5)


def test_a_recording_without_a_header_has_numbered_columns_and_no_known_time() -> None:
    layout = layout_of(["0\t12.6", "1\t12.5"])
    assert layout.columns == (Column(1, "column 1", None), Column(2, "column 2", None))
    assert layout.time is None


def test_a_clock_is_known_without_a_header() -> None:
    layout = layout_of(["2031-05-04 08:00:00.5,12.6", "2031-05-04 08:00:01.5,12.5"])
    assert layout.time == layout.columns[0]


def test_quoted_cells_may_hold_the_separator() -> None:
    assert cells_of('"0,01","12,6"\n', ",") == ["0,01", "12,6"]


@pytest.mark.parametrize(("lines", "sentence"), [
    ([], "No line with a time and a number beside it"),
    (["a,b", "c,d"], "No line with a time and a number beside it"),
    (["t,U", "0,00,12,61", "0,01,12,60"], "Line 2: commas stand between the columns and in the numbers"),
    (["0.5;12,6", "0.6;12,5"], r"decimal comma \(line 1\), others a point \(line 1\)"),
])  # fmt: skip
def test_what_can_be_read_in_two_ways_is_refused(lines: list[str], sentence: str) -> None:
    with pytest.raises(RecordingError, match=sentence):
        layout_of(lines)


def test_a_word_of_the_header_is_no_unit() -> None:
    assert layout_of(["t (s),U min,U max", "0,12.1,12.6"]).columns[1] == Column(2, "U min", None)
