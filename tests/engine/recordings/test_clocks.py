"""Times of a recording as seconds."""

from __future__ import annotations

import pytest

from crankpath.engine.recordings.clocks import is_clock, reader_for, time_unit, wraps


@pytest.mark.parametrize(("cells", "unit", "seconds"), [
    (["0", "0.25"], "s", [0.0, 0.25]),
    (["0", "250"], "ms", [0.0, 0.25]),
    (["00:00:01", "01:00:00.5"], None, [1.0, 3600.5]),
    (["11:59:59 PM", "12:00:01 am"], None, [86399.0, 1.0]),
    (["04.05.2031 08:00:00,125"], None, [28800.125]),
    (["1970-01-01T00:00:01.5", "1970-01-02 00:00:00"], None, [1.5, 86400.0]),
    (["1970-01-01T01:00:00+01:00", "1970-01-01T00:00:01Z"], None, [0.0, 1.0]),
])  # fmt: skip
def test_cells_of_one_kind_become_seconds(cells: list[str], unit: str | None, seconds: list[float]) -> None:
    assert reader_for(cells[0], unit)(cells) == pytest.approx(seconds)


@pytest.mark.parametrize("cell", ["", "12.5", "8:00", "volts", "08:00:00:00:00 x"])
def test_what_is_no_time_of_day_is_refused(cell: str) -> None:
    assert not is_clock(cell)
    with pytest.raises(ValueError, match="is no time"):
        reader_for("08:00:00", None)([cell])


def test_only_a_clock_without_a_date_begins_again_at_midnight() -> None:
    assert wraps("23:59:59")
    assert not wraps("2031-05-04 23:59:59")


def test_units_of_time_are_known_by_their_spellings() -> None:
    assert [time_unit(word) for word in ("Sek", "ms", "µs", "V", "min")] == ["s", "ms", "us", None, None]
