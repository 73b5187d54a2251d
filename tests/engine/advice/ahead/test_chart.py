"""The policy followed a few acts deep: every finding leads where the case's own verdict goes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from itertools import pairwise

import pytest

from crankpath.engine import Case
from crankpath.engine.advice.ahead.chart import ChartAct, acts, chart
from crankpath.engine.knowledge.records import Knowledge

CaseOf = Callable[..., Case]
Drawn = Callable[..., tuple[Case, ChartAct]]


def along(case: Case, act: ChartAct) -> Iterator[tuple[Case, ChartAct]]:
    """Each act of the chart with a case in which what is typical of the way there was read."""
    yield case, act
    for finding in act.findings:
        yield from along(case.what_if(act.verdict.measurement or "", finding.typical), finding.then)


@pytest.fixture(scope="module")
def drawn(case_of: CaseOf) -> Drawn:
    """A case that fails every time, and its chart, each drawn once for all tests."""

    @cache
    def make(depth: int, *readings: str) -> tuple[Case, ChartAct]:
        case = case_of(*readings, "occurrence every_time")
        return case, chart(case.advisor, depth)

    return make


@pytest.fixture(scope="module")
def drawn_small(small: Knowledge) -> tuple[Case, ChartAct]:
    """A case of the small circuit and its chart, three acts deep."""
    case = Case(small)
    case.record("crank_behaviour", "slow")
    return case, chart(case.advisor, 3)


def leads_where_the_case_goes(case: Case, first: ChartAct, least: int) -> None:
    followed = list(along(case, first))
    assert len(followed) >= least
    for reached, act in followed:
        verdict = reached.verdict()
        assert (verdict.action, verdict.measurement) == (act.verdict.action, act.verdict.measurement)


def test_every_finding_leads_where_the_case_goes(drawn_small: tuple[Case, ChartAct]) -> None:
    leads_where_the_case_goes(*drawn_small, least=12)


@pytest.mark.slow
@pytest.mark.parametrize("complaint", ["slow", "single_click", "silent"])
def test_every_finding_of_a_shipped_complaint_leads_there_too(drawn: Drawn, complaint: str) -> None:
    leads_where_the_case_goes(*drawn(2, f"crank_behaviour {complaint}"), least=5)


@pytest.mark.slow
def test_most_of_a_stretch_leads_to_the_act_that_stands_there(drawn: Drawn) -> None:
    """Where two acts are worth nearly the same, the other one may come first within a stretch."""
    case, first = drawn(1, "crank_behaviour slow", "lights_while_cranking dim")
    same = 0.0
    for finding in first.findings:
        low, high = finding.low or 0.7 * (finding.high or 0.0), finding.high or 1.1 * (finding.low or 0.0)
        for share in (0.2, 0.4, 0.6, 0.8):
            found = case.what_if(first.verdict.measurement or "", low + share * (high - low)).verdict()
            then = finding.then.verdict
            same += finding.chance * (found.action == then.action and found.measurement == then.measurement)
    assert same / 4 >= 0.8 * (1.0 - first.other)

def test_chances_of_the_findings_and_of_the_rest_make_one(drawn_small: tuple[Case, ChartAct]) -> None:
    _, first = drawn_small
    for act in acts(first):
        if act.findings:
            assert sum(f.chance for f in act.findings) + act.other == pytest.approx(1.0, abs=1e-6)
            for finding in act.findings:
                assert finding.then.reached == pytest.approx(act.reached * finding.chance)


def test_stretches_of_a_meter_follow_each_other_without_overlap(drawn_small: tuple[Case, ChartAct]) -> None:
    case, first = drawn_small
    assert first.verdict.measurement is not None
    assert case.kb.measurements[first.verdict.measurement].numeric
    assert len(first.findings) > 1
    for one, other in pairwise(first.findings):
        assert one.high is not None
        assert other.low is not None
        assert one.high <= other.low


def test_a_proven_repair_ends_the_chart_and_nothing_is_left_to_read(case_of: CaseOf) -> None:
    case = case_of("crank_behaviour slow", "positive_post_drop 2.1 V", "positive_post_drop 2.1 V")
    first = chart(case.advisor, 3)
    assert (first.verdict.action, first.verdict.repair) == ("repair", "clean_positive_post")
    assert (first.findings, first.left.readings) == ((), 0.0)


@pytest.mark.slow
@pytest.mark.parametrize("depth", [1, 2])
def test_a_tool_that_is_lacking_is_nowhere_on_the_chart(case_of: CaseOf, depth: int) -> None:
    case = case_of("crank_behaviour slow", lacks=frozenset({"clamp_meter"}))
    assert "clamp_meter" in case.kb.tools
    for act in acts(chart(case.advisor, depth)):
        if act.verdict.measurement is not None:
            assert "clamp_meter" not in case.kb.measurements[act.verdict.measurement].tools
