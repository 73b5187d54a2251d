"""Which column is which reading."""

from __future__ import annotations

import pytest

from crankpath.engine.errors import RecordingError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.recordings.columns import ReadColumn, read_columns
from crankpath.engine.recordings.layout import layout_of

LAYOUT = layout_of(["time (s),CH1 (mV),CH2,I (A)", "0,12600,0.1,5", "1,12600,0.1,5"])


def columns(kb: Knowledge, *told: str) -> tuple[ReadColumn, ...]:
    return read_columns(told, LAYOUT, kb.measurements)


def test_columns_are_told_by_number_or_header_and_readings_by_any_of_their_names(kb: Knowledge) -> None:
    assert columns(kb, "2=battery crank", "ch2=positive leg, mV", "I=amps") == (
        ReadColumn(2, "battery_crank_voltage", 0.001, "mV"),
        ReadColumn(3, "positive_leg_drop", 0.001, "mV"),
        ReadColumn(4, "crank_current", 1.0, "A"),
    )


def test_a_clamp_that_gives_volts_is_told_by_its_scale(kb: Knowledge) -> None:
    (column,) = columns(kb, "2=crank current, 10 mV/A")
    assert 1000 * column.factor == pytest.approx(100.0)  # 1000 mV are 1 V, and 10 mV/A make 100 A of it


def test_a_column_without_a_unit_is_taken_in_the_readings_own_and_says_so(kb: Knowledge) -> None:
    (column,) = columns(kb, "3=negative leg")
    assert (column.factor, column.said) == (1.0, "V, as its header names no unit")


@pytest.mark.parametrize(("told", "sentence"), [
    ("2", "does not say which column is which reading"),
    ("9=battery crank", "There is no one column '9'. The recording has: 1 time, 2 CH1"),
    ("1=battery crank", "Column 1 is the time"),
    ("2=oil pressure", "Nothing here is called 'oil pressure'. A column can be: "),
    ("4=battery crank", "is in A, but battery voltage while cranking is read in V"),
    ("2=crank current", "A clamp that gives volts is told so"),
    ("2=battery crank, 10 mV/A", "is for a current clamp"),
])  # fmt: skip
def test_what_does_not_fit_is_refused_with_what_would(kb: Knowledge, told: str, sentence: str) -> None:
    with pytest.raises(RecordingError) as caught:
        columns(kb, told)
    assert sentence in str(caught.value)


def test_a_column_or_a_reading_is_named_once(kb: Knowledge) -> None:
    with pytest.raises(RecordingError, match="Column 2 is named twice"):
        columns(kb, "2=battery crank", "CH1=positive leg")
    with pytest.raises(RecordingError, match="Columns 2 and 3 are both positive_leg_drop"):
        columns(kb, "2=positive leg", "3=positive leg")
