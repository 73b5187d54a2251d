"""A whole case in one file."""

from __future__ import annotations

import pytest

from crankpath.shell.desk.exported_case import whole_case, whole_text
from crankpath.shell.store import BadEvent
from crankpath.shell.store.event_data import FORMAT


def test_a_whole_case_is_read_back_as_it_was_written() -> None:
    data = {"format": FORMAT, "version": 1, "name": "Löffel 🔧", "events": []}
    assert whole_case(whole_text(data).encode("ascii")) == data


def test_another_file_is_left_to_others() -> None:
    assert whole_case(b"complaint: cranks slow\nentries: []\n") is None
    assert whole_case(b'{"complaint": "cranks slow"}') is None


def test_a_damaged_file_is_refused_in_a_sentence() -> None:
    with pytest.raises(BadEvent, match=r"damaged .* Have it exported and sent again"):
        whole_case(whole_text({"format": FORMAT, "events": []}).encode()[:-9])
