"""What a start shows before knowledge and store are there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from crankpath.shell.session.start import Bookmark, _welcome, now
from crankpath.shell.store import CaseSummary


@pytest.fixture
def one() -> CaseSummary:
    """An open case that was asked for a reading just now."""
    at = now()
    return CaseSummary("1", "just clicks", "bus 12", "", "open", at, at, "neg leg", (), 7, asked_at=at)


def test_open_cases_are_listed_at_the_start_with_what_each_waits_for(
    one: CaseSummary, tmp_path: Path
) -> None:
    mark = Bookmark(tmp_path / "last")
    mark.write(None, (one, replace(one, id="2", name="nothing happens", asked_at="", waits_for="")))
    known, listed = mark.read()
    assert known is None
    assert [case.id for case in listed] == ["1", "2"]
    said = "\n".join(_welcome(known, listed, 100))
    assert "1   bus 12: just clicks" in said
    assert "neg leg" in said
    assert "2   bus 12: nothing happens" in said
    assert "What does the operator say it does?" in said


def test_the_last_case_alone_is_named_without_a_list(one: CaseSummary, tmp_path: Path, small: object) -> None:
    said = "\n".join(_welcome({"case": "1", "name": "just clicks", "machine": "bus 12"}, (one,), 80))
    assert "The last case: just clicks, bus 12" in said
    assert "waits for" not in said


@pytest.mark.parametrize(
    "text", ["", "[]", "{", '{"open": [1]}', '{"open": [{"id": 5}]}', '{"case": 3, "open": 7}', "null"]
)
def test_a_damaged_note_of_the_last_case_is_as_none(tmp_path: Path, text: str) -> None:
    (tmp_path / "last").write_text(text, "utf-8")
    assert Bookmark(tmp_path / "last").read() == (None, ())


def test_a_list_with_other_values_than_expected_is_left_out(one: CaseSummary, tmp_path: Path) -> None:
    Bookmark(tmp_path / "last").write(None, (replace(one, opened_at="soon", due="later"),))
    known, listed = Bookmark(tmp_path / "last").read()
    assert "bus 12" not in "\n".join(_welcome(known, listed, 80))
