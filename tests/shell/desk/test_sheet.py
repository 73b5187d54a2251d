"""The sheet of a case of the store."""

from __future__ import annotations

from collections.abc import Callable

from crankpath.shell.desk.sheet import case_sheet
from crankpath.shell.session.state import CaseState

from .conftest import TAKEN


def test_each_row_tells_who_said_it_and_when(case: Callable[..., CaseState]) -> None:
    told = (
        ("note", {"text": "rained"}, "operator"),
        ("reading", {"measurement": "no_such", "text": "1"}, "field"),
        ("reading", {"measurement": "negative_leg_drop", "text": "0.6", "symptom": True}, "field"),
        ("caution_shown", {"caution": "gas"}),
        ("closed", {"causes": ["ground"]}),
    )
    sheet = case_sheet(case(*TAKEN, *told), "2031-05-04 09:00 UTC")
    assert [(row.measurement, row.by) for row in sheet.rows] == [
        ("crank_behaviour", "operator"), ("occurrence", "operator"), ("negative_leg_drop", "field"),
    ]  # fmt: skip
    assert sheet.rows[-1].at.startswith("2031-05-04")
    assert (sheet.machine, sheet.complaint) == ("loader 7", "cranks slowly")
    assert sheet.notes[0].text == "rained"
    assert "not used: " in sheet.notes[1].text
    assert [caution.id for caution in sheet.cautions] == ["gas"]
    assert [cause.fault for cause in sheet.causes if cause.confirmed] == ["ground"]


def test_a_name_given_for_the_machine_stands_on_top(case: Callable[..., CaseState]) -> None:
    assert case_sheet(case(*TAKEN), "", machine="wheel loader").machine == "wheel loader"
