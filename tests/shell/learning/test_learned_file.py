"""The file of what was learned: its entries as they were written, and its earlier states."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.errors import CaseError
from crankpath.shell.learning.learned_file import blocks_of, read, take_back, text_of, write

ONE = {("rules", "a"): "  a:\n    # was 1\n    like: a\n"}
TWO = {("faults", "b"): "  b:\n    like: b\n"}


def test_entries_come_back_as_they_were_written() -> None:
    assert blocks_of(text_of({**ONE, **TWO})) == {**TWO, **ONE}


def test_an_entry_that_is_taken_out_leaves_the_text_as_it_was() -> None:
    both = blocks_of(text_of({**ONE, **TWO}))
    del both["faults", "b"]
    assert text_of(both) == text_of(ONE)
    assert text_of({}) == ""


def test_every_write_can_be_taken_back_in_turn(tmp_path: Path) -> None:
    file = tmp_path / "learned.yaml"
    write(file, text_of(ONE))
    write(file, text_of({**ONE, **TWO}))
    take_back(file)
    assert file.read_text("utf-8") == text_of(ONE)
    take_back(file)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(CaseError, match="nothing was accepted"):
        take_back(file)


def test_a_file_of_somebody_else_is_refused(tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text("rules: {}\n", "utf-8")
    with pytest.raises(CaseError, match="was not made by this command"):
        read(tmp_path / "mine.yaml")
