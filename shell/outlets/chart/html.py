"""The fault chart as one page that needs nothing else; it prints to a page or two in black and white."""

from __future__ import annotations

from markupsafe import Markup

from crankpath.shell.outlets.chart.making import ChartPage
from crankpath.shell.outlets.chart.text import SORTS
from crankpath.shell.outlets.pages.sheet.html import render
from crankpath.shell.outlets.reports.words import percent

_LONG, _HIGH = 56.0, 9.0


def chart_html(page: ChartPage) -> str:
    """The page."""
    return render("chart.html", "chart.css", page=page, percent=percent, sorts=SORTS, bar=share_bar)


def share_bar(chance: float) -> Markup:
    """A chance as a bar that is filled so far; it needs no colour."""
    filled = max(1.0, (_LONG - 2) * min(max(chance, 0.0), 1.0))
    outer = f'width="{_LONG - 1:g}" height="{_HIGH - 1:g}" stroke="#17252b"'
    inner = f'width="{filled:.1f}" height="{_HIGH - 2:g}" fill="#17252b"'
    return Markup(
        f'<svg class="share" viewBox="0 0 {_LONG:g} {_HIGH:g}" width="{_LONG:g}" height="{_HIGH:g}" '
        f'aria-hidden="true"><rect x="0.5" y="0.5" {outer}/><rect x="1" y="1" {inner}/></svg>'
    )
