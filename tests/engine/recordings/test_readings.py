"""The readings that a recorded crank gives."""

from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.recordings.columns import ReadColumn
from crankpath.engine.recordings.readings import has_failed, readings_of, value_with_error
from crankpath.engine.recordings.values import ColumnValues, CrankValues, Measured

COLUMN = ColumnValues(
    Measured(12.6, 0.01), Measured(7.9, 0.1), Measured(10.2, 0.1), Measured(9.8, 0.03),
    Measured(7.9, 0.1), None,
)  # fmt: skip
CRANK = CrankValues(1.0, 2.0, (COLUMN,), True, Measured(7.5, 0.05), Measured(150.0, 1.0))
NOTHING = ColumnValues(None, None, None, None, None, None)


def test_each_measurement_gets_the_value_that_it_takes_and_the_speed_its_own(kb: Knowledge) -> None:
    columns = [ReadColumn(2, "battery_crank_voltage", 1.0, "V")]
    found = {r.measurement: r.text for r in readings_of(CRANK, columns, kb.measurements)}
    assert found == {"battery_crank_voltage": "9.80 ± 0.03 V", "crank_speed": "150.0 ± 1.0 rpm"}


def test_what_a_recording_cannot_tell_gives_no_reading(kb: Knowledge) -> None:
    columns = [ReadColumn(2, "battery_crank_voltage", 1.0, "V")]
    assert readings_of(CrankValues(1.0, 0.2, (NOTHING,), None, None, None), columns, kb.measurements) == ()


@pytest.mark.parametrize(("value", "error", "text"), [
    (9.8432, 0.0312, "9.84 ± 0.04 V"), (412.7, 8.0, "413 ± 8 V"), (0.31234, 0.00012, "0.3123 ± 0.0002 V"),
    (612.0, 160.0, "612 ± 160 V"), (0.2, 0.0, "0.2 V"),
])  # fmt: skip
def test_a_reading_is_written_to_the_digits_of_its_error(value: float, error: float, text: str) -> None:
    assert value_with_error(Measured(value, error), "V") == text


def test_the_text_is_read_back_as_the_value_with_its_error(kb: Knowledge) -> None:
    text = value_with_error(COLUMN.settled, "V")  # type: ignore[arg-type]
    reading = Case(kb, {"system_voltage": 12}).read("battery_crank_voltage", text)
    assert (reading.value, reading.spread) == (9.8, 0.03)


@pytest.mark.parametrize(("turned", "behaviours", "failed"), [
    (False, {"silent"}, True), (True, {"silent"}, False), (True, {"single_click", "silent"}, False),
    (True, {"slow"}, None), (False, {"slow"}, True), (None, {"silent"}, None), (False, set(), None),
])  # fmt: skip
def test_whether_it_failed_follows_from_turning_where_the_complaint_is_that_it_does_not(
    turned: bool | None, behaviours: set[str], failed: bool | None
) -> None:
    values = CrankValues(0.0, 1.0, (), turned, None, None)
    assert has_failed(values, behaviours, ["slow"]) is failed
