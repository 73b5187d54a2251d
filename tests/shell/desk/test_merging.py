"""What merging brought, in words."""

from __future__ import annotations

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.merging import merged
from crankpath.shell.session.screens.listing import said_by
from crankpath.shell.store import MergeConflict, MergeReport

from .conftest import CASE, entry

OURS = "positive leg drop: 0.3 (field, 2031-05-04T08:01)"
THEIRS = "positive leg drop: 0.5 (operator, 2031-05-04T08:02)"


def test_a_conflict_tells_both_sides_and_who_said_them(small: Knowledge) -> None:
    ours = entry(1, "reading", {"measurement": "positive_leg_drop", "text": "0.3"}, "field")
    theirs = entry(2, "reading", {"measurement": "positive_leg_drop", "text": "0.5"}, "operator")
    report = MergeReport(CASE, (theirs,), 4, (MergeConflict("reading", "positive_leg_drop", ours, theirs),))
    assert merged(small, report) == [
        "1 new entry, 4 already here.",
        "The two copies differ in 1 matter; both entries are kept:",
        f"here {OURS} / in the file {THEIRS}",
        "Of each pair the later entry counts; list shows all, back N takes a wrong one back.",
    ]


def test_without_conflict_only_the_counts_are_told(small: Knowledge) -> None:
    assert merged(small, MergeReport(CASE, (), 4, ())) == ["0 new entries, 4 already here."]


def test_what_the_file_changes_of_a_case_that_was_here_is_said(small: Knowledge) -> None:
    here = [
        entry(1, "equipment", {"facts": {"system_voltage": 12}}),
        entry(2, "reading", {"measurement": "positive_leg_drop", "text": "0.3"}),
    ]
    new = [
        entry(3, "equipment", {"facts": {"system_voltage": 24}}, "advisor"),
        entry(4, "taken_back", {"event": here[1].id}, "advisor"),
        entry(5, "closed", {"causes": []}, "operator"),
        entry(6, "note", {"text": "rained", "imported": True}, "operator"),
    ]
    report = MergeReport(CASE, tuple(new), 2, ())
    assert merged(small, report, [*here, *new])[1:] == [
        "The file makes it 24 V instead of 12 V.",
        "The file takes back: positive leg drop: 0.3 (technician, 2031-05-04T08:02).",
        "The file closes the case (operator).",
    ]
    assert said_by(new[3]) == "operator, imported"
    assert len(merged(small, MergeReport(CASE, (*here, *new), 0, ()), [*here, *new])) == 1  # a new case
