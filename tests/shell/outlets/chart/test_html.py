"""The fault chart as a page."""

from __future__ import annotations

import re

import pytest

from crankpath.engine import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.chart.html import chart_html, share_bar
from crankpath.shell.outlets.chart.making import chart_of


@pytest.fixture(scope="module")
def page(small: Knowledge) -> str:
    case = Case(small)
    case.record("crank_behaviour", "slow")
    return chart_html(chart_of(case, 2, "<b>loader</b> 7"))


def test_every_link_leads_to_how_that_reading_is_taken(page: str) -> None:
    links = set(re.findall(r'href="#([^"]+)"', page))
    assert links
    assert links <= set(re.findall(r'id="([^"]+)"', page))


def test_the_page_needs_nothing_else_and_runs_nothing(page: str) -> None:
    assert "default-src &#39;none&#39;" in page
    assert not re.search(r"<script|src=|style=|https?://", page)


def test_what_a_person_typed_is_escaped(page: str) -> None:
    assert "&lt;b&gt;loader&lt;/b&gt; 7" in page
    assert "<b>loader</b>" not in page


def test_a_bar_is_filled_as_far_as_the_chance() -> None:
    widths = [float(re.findall(r'width="([\d.]+)"', share_bar(chance))[2]) for chance in (0.0, 0.5, 1.0)]
    assert widths == [1.0, 27.0, 54.0]
