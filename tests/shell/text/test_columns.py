"""Texts in columns."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from crankpath.shell.text.columns import age_words, clipped, columns, fit, shortened, wrapped


@given(st.text(), st.integers(4, 60))
def test_any_text_takes_exactly_its_columns_and_stays_in_one_line(text: str, width: int) -> None:
    fitted = fit(text, width)
    assert columns(fitted) == width
    assert not set(fitted) & set("\n\r\t\x1b\x07")


def test_an_age_is_told_in_the_unit_that_tells_it_best() -> None:
    assert [age_words(s) for s in (59, 60, 7199, 7200, 172799, 172800)] == [
        "now", "1 min", "120 min", "2 h", "48 h", "2 days",
    ]  # fmt: skip


WIDE = st.text(st.sampled_from("abc é油圧ｷ—Ω한\u0301- "), max_size=60)


@given(WIDE, st.integers(8, 60), st.sampled_from(["", ">> ", "電池 "]))
def test_wrapped_lines_keep_to_their_columns_and_lose_no_word(text: str, width: int, first: str) -> None:
    lines = wrapped(text, width, first)
    assert all(columns(line) <= width for line in lines)
    assert "".join("".join(lines).removeprefix(first.rstrip()).split()) == "".join(text.split())


@given(WIDE, st.integers(5, 30))
def test_a_text_that_is_cut_keeps_to_its_columns_and_says_so(text: str, width: int) -> None:
    for cut in (clipped(text, width), shortened(text, width)):
        assert columns(cut) <= width
        assert cut == text or cut.endswith("..")


def test_no_width_is_too_narrow_for_a_text() -> None:
    assert all("".join(wrapped("漢字 kana", width, "-- ")).replace(" ", "") for width in (-2, 0, 1, 2))
