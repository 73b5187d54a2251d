"""The fault chart in words."""

from __future__ import annotations

import pytest

from crankpath.engine import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.chart.making import ActLine, ChartPage, chart_of


@pytest.fixture(scope="module")
def page(small: Knowledge) -> ChartPage:
    case = Case(small)
    case.record("crank_behaviour", "slow")
    return chart_of(case, 2, "loader 7")


def every(act: ActLine) -> list[ActLine]:
    return [act, *(one for finding in act.findings for one in every(finding.then))]


def test_acts_are_numbered_in_the_order_in_which_they_stand(page: ChartPage) -> None:
    assert [act.number for act in every(page.first)] == list(range(1, len(every(page.first)) + 1))


def test_every_reading_of_the_chart_is_told_how_to_take(page: ChartPage) -> None:
    asked = {act.how for act in every(page.first) if act.how}
    assert asked == {line.id for line in page.how}
    assert all(line.text for line in page.how)


def test_every_caution_that_a_reading_names_stands_before_the_acts(page: ChartPage) -> None:
    letters = {letter for letter, _ in page.cautions}
    named = {letter for line in page.how for letter in line.cautions.split()}
    assert named
    assert named <= letters


def test_ranges_are_told_in_the_unit(page: ChartPage) -> None:
    texts = [finding.text for finding in page.first.findings]
    assert all(text.startswith(("below ", "above ")) or " to " in text for text in texts)
    assert all(text.endswith("V") for text in texts)


def test_where_a_repair_waits_for_its_proof_there_is_no_chart(small: Knowledge) -> None:
    case = Case(small)
    case.record("crank_behaviour", "slow")
    case.repaired("replace_hot_cable")
    with pytest.raises(CaseError, match="Prove it first"):
        chart_of(case)
