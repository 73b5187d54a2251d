"""Texts in columns."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from crankpath.shell.text.clean import columns
from crankpath.shell.text.columns import age_words, fit


@given(st.text(), st.integers(4, 60))
def test_any_text_takes_exactly_its_columns_and_stays_in_one_line(text: str, width: int) -> None:
    fitted = fit(text, width)
    assert columns(fitted) == width
    assert not set(fitted) & set("\n\r\t\x1b\x07")


def test_an_age_is_told_in_the_unit_that_tells_it_best() -> None:
    assert [age_words(s) for s in (59, 60, 7199, 7200, 172799, 172800)] == [
        "now", "1 min", "120 min", "2 h", "48 h", "2 days",
    ]  # fmt: skip
