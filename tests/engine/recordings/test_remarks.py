"""What was odd in a recording, told once a kind."""

from __future__ import annotations

from crankpath.engine.recordings.remarks import Remarks


def test_each_kind_is_told_once_with_its_first_lines_and_how_many_more() -> None:
    remarks = Remarks()
    for line in range(1, 10):
        remarks.add("No number", [line])
    remarks.add("The lead came off.")
    remarks.add("The lead came off.")
    assert remarks.sentences() == ("No number (lines 1, 2, 3, 4, 5 and 4 more).", "The lead came off.")
