"""What merging brought, in words."""

from __future__ import annotations

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.merging import merged
from crankpath.shell.store import Conflict, MergeReport

from .conftest import CASE, entry

OURS = "positive leg drop: 0.3 (field, 2031-05-04T08:01)"
THEIRS = "positive leg drop: 0.5 (operator, 2031-05-04T08:02)"


def test_a_conflict_tells_both_sides_and_who_said_them(small: Knowledge) -> None:
    ours = entry(1, "reading", {"measurement": "positive_leg_drop", "text": "0.3"}, "field")
    theirs = entry(2, "reading", {"measurement": "positive_leg_drop", "text": "0.5"}, "operator")
    report = MergeReport(CASE, (theirs,), 4, (Conflict("reading", "positive_leg_drop", ours, theirs),))
    assert merged(small, report) == [
        "1 entries are new here, 4 were here already.",
        "The two copies differ in 1 matter; both entries are kept:",
        f"here {OURS} / in the file {THEIRS}",
        "The later entry of each counts last; list shows all, back N takes a wrong one back.",
    ]


def test_without_conflict_only_the_counts_are_told(small: Knowledge) -> None:
    assert merged(small, MergeReport(CASE, (), 4, ())) == ["0 entries are new here, 4 were here already."]
