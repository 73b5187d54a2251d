"""Files that a person names: a path or a sentence, whatever was typed."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.errors import CaseError
from crankpath.shell.files import named_path, read_named, write_page

ODD = ["~nobody-here/a.html", "x" * 300 + ".html", "a\0b.html", "no such folder/a.html", "", "."]


@pytest.mark.parametrize("typed", ODD)
def test_no_file_can_be_written_or_read_there_and_a_sentence_says_so(
    typed: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for new in (True, False):
        with pytest.raises(CaseError, match=r"\.$"):
            write_page(named_path(typed), "text", new=new)
    with pytest.raises(CaseError, match=r"\.$"):
        read_named(named_path(typed))


def test_quotes_and_blanks_around_a_name_are_no_part_of_it() -> None:
    assert named_path(" 'my file.html' ") == Path("my file.html")


def test_a_file_that_is_there_is_not_replaced_by_a_new_one(tmp_path: Path) -> None:
    file = tmp_path / "a.html"
    write_page(file, "one", new=True)
    with pytest.raises(CaseError, match="exists already"):
        write_page(file, "two", new=True)
    assert file.read_text("utf-8") == "one"
    write_page(file, "two")
    assert file.read_text("utf-8") == "two"
