"""The fault chart as text."""

from __future__ import annotations

import pytest

from crankpath.shell.outlets.chart.making import ActLine, ChartPage, FindingLine, HowLine
from crankpath.shell.outlets.chart.text import chart_text

REPAIR = ActLine(2, "repair", "clean the post", "15 min; post joint, 96 %", "", "", (), False, 0.0)
LATER = ActLine(3, "measure", "cable drop", "2 min", "about 2 more readings, 9 min", "cable", (), True, 0.0)
FINDINGS = (FindingLine("above 0.3 V", 0.25, REPAIR), FindingLine("below 0.3 V", 0.72, LATER))
FIRST = ActLine(
    1, "measure", "post drop", "5 min", "about 3 more readings, 15 minutes", "post", FINDINGS, False, 0.03
)
HOW = HowLine("post", "post drop", (1,), "What is lost there?", "covers off", "One clip each side.", "a")
PAGE = ChartPage(
    "slow", "12 V", "complaint: slow", (), "about 3 more readings, 15 minutes", (("a", "Goggles."),), FIRST,
    (HOW,), "1",
)  # fmt: skip


def test_a_chart_reads_from_act_to_finding_to_act() -> None:
    assert chart_text(PAGE) == [
        "FAULT CHART: slow",
        "Machine: 12 V",
        "Known: complaint: slow",
        "To a repair: about 3 more readings, 15 minutes",
        "!  a  Goggles.",
        "",
        "1  post drop, 5 min",
        "   - above 0.3 V (25 %)",
        "     2  REPAIR clean the post, 15 min; post joint, 96 %",
        "   - below 0.3 V (72 %)",
        "     3  cable drop, 2 min; then about 2 more readings, 9 min",
        "   - anything else (3 %): take it again; a repeat is not on this chart",
        "",
        "How each reading is taken",
        "  post drop (act 1): What is lost there? Ready: covers off. One clip each side.",
        "    Cautions: a.",
    ]


@pytest.mark.parametrize("width", [40, 60, 80])
def test_no_line_is_wider_than_the_screen(width: int) -> None:
    assert max(map(len, chart_text(PAGE, width))) <= width


def test_a_stop_stands_before_everything() -> None:
    page = ChartPage("slow", "", "", ("People at the machine.",), "", (), FIRST, (), "1")
    assert chart_text(page)[0] == "! STOP: People at the machine."
