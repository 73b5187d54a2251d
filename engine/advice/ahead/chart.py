"""The policy followed a few acts deep: what to do, what can be found, where each finding leads.

A tree of plain data. Each finding is a stretch of readings after which the same act is advised, worked out
with the case's own verdict for a reading in the middle of every stretch that is met often enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby, pairwise
from operator import mul
from typing import Final

from crankpath.engine.advice.advisor import Advisor
from crankpath.engine.advice.ahead.progress import Progress
from crankpath.engine.advice.verdict import Verdict
from crankpath.engine.bayes.densities import ReadingDensity
from crankpath.engine.bayes.tables import MeterTable
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Measurement

LEAST: Final = 0.02
"""Chance of a finding, of those at its act, below which a chart leaves it out."""
_LOOKED_AT: Final = 0.008  # chance of a cell of readings below which no verdict is worked out for it
_EXPANDED: Final = 0.03  # chance to come to an act, from the start, from which on it is followed further
_HALVINGS: Final = 2  # to find where between two readings the advice changes
_SEARCHES: Final = 24


@dataclass(frozen=True, slots=True)
class Finding:
    """What can be found at an act, and the act that it leads to.

    low, high: of a meter reading, in its unit; None for no end on that side. values: of an observation,
    likeliest first. chance: of this finding, once its act is done. typical: the likely reading or value that
    what follows was worked out for; all of the finding leads to the same next act.
    """

    low: float | None
    high: float | None
    values: tuple[str, ...]
    chance: float
    typical: float | str
    then: ChartAct


@dataclass(frozen=True, slots=True)
class ChartAct:
    """One act of a chart.

    verdict: what is advised. minutes: of the reading with its set-up, or of the repair; None for neither.
    left: readings and minutes still expected from here on, this act included. reached: chance to come here.
    findings: what can be found; empty where the chart ends. other: chance of a finding that is not shown.
    """

    verdict: Verdict
    minutes: float | None
    left: Progress
    reached: float
    findings: tuple[Finding, ...] = ()
    other: float = 0.0


def chart(advisor: Advisor, depth: int) -> ChartAct:
    """The policy from where a case stands.

    Args:
        advisor: of the case.
        depth: readings one behind the other.
    """
    return _act(advisor, depth, 1.0)


def acts(first: ChartAct) -> Iterator[ChartAct]:
    """Every act of a chart, a finding's acts before the next finding's."""
    yield first
    for finding in first.findings:
        yield from acts(finding.then)


def _act(advisor: Advisor, depth: int, reached: float) -> ChartAct:
    verdict = advisor.verdict
    kb = advisor.assessment.model.kb
    minutes = None
    if verdict.action == "repair" and verdict.repair is not None:
        minutes = kb.repairs[verdict.repair].minutes
    elif verdict.action == "measure" and verdict.measurement is not None:
        minutes = advisor.minutes(kb.measurements[verdict.measurement])
    act = ChartAct(verdict, minutes, advisor.progress, reached)
    if verdict.action != "measure" or verdict.measurement is None or depth < 1 or reached < _EXPANDED:
        return act
    measurement = advisor.assessment.model.measurements[verdict.measurement]
    sort = _Metered if measurement.numeric else _Observed
    found = tuple(sort(advisor, measurement, depth, reached).findings())
    return replace(act, findings=found, other=max(0.0, 1.0 - sum(finding.chance for finding in found)))


@dataclass(frozen=True)
class _Observed:
    """The findings of an observation: its values, those that lead to the same act together."""

    advisor: Advisor
    measurement: Measurement
    depth: int
    reached: float

    @cached_property
    def _chances(self) -> list[float]:
        """Chance of each outcome that the worth of the reading is worked out with."""
        leading = self.advisor.leading
        columns = zip(*leading.outcomes(self.measurement), strict=True)
        return [sum(map(mul, leading.weights, column)) for column in columns]

    def after(self, value: float | str) -> Advisor:
        """The advice once that has been read with the complaint there."""
        if value not in self._known:
            assessment = self.advisor.assessment
            text = value if isinstance(value, str) else f"{value:.4g}"
            fuller = Assessment(
                assessment.model, (*assessment.entries, Reading(self.measurement.id, value, text))
            )
            self._known[value] = replace(self.advisor, assessment=fuller)
        return self._known[value]

    @cached_property
    def _known(self) -> dict[float | str, Advisor]:
        return {}

    def findings(self) -> Iterator[Finding]:
        """What can be found, likeliest first."""
        led: dict[object, list[tuple[float, str]]] = {}
        for value, chance in zip(self.measurement.bands, self._chances, strict=True):
            if chance >= _LOOKED_AT:
                led.setdefault(_leads_to(self.after(value).verdict), []).append((chance, value))
        for group in sorted(led.values(), key=lambda group: -sum(chance for chance, _ in group)):
            values = tuple(value for _, value in sorted(group, key=lambda pair: -pair[0]))
            chance = sum(chance for chance, _ in group)
            if chance >= LEAST:
                then = _act(self.after(values[0]), self.depth - 1, self.reached * chance)
                yield Finding(None, None, values, chance, values[0], then)


@dataclass(frozen=True)
class _Metered(_Observed):
    """The findings of a meter reading: stretches of the meter's scale, from low to high."""

    @cached_property
    def _table(self) -> MeterTable:
        table = self.advisor.assessment.model.table(
            self.measurement.id, self.advisor.assessment.now.facts
        )
        assert isinstance(table, MeterTable)
        return table

    @cached_property
    def _edges(self) -> list[float]:
        """Positions of the cells' edges; the last ends where hardly anything reads higher."""
        cuts = [0.0, *self._table.cuts]
        rows = [self._table.row_of(members) for members in self.advisor.leading.left(self.measurement.id)]
        assessment = self.advisor.assessment
        most = self._table.scale.position(assessment.model.most(self.measurement.id, assessment.now.facts))
        end = _far_end(rows, self.advisor.leading.weights, cuts[-1])
        return [*cuts, max(min(end, most), cuts[-1])]

    def _at(self, position: float) -> Advisor:
        return self.after(self._table.scale.value(position))

    def findings(self) -> Iterator[Finding]:
        """What can be found, from low to high."""
        cells = list(zip(pairwise(self._edges), self._chances, strict=True))
        seen = [(low, high, chance) for (low, high), chance in cells if chance >= _LOOKED_AT]
        led = [(_leads_to(self._at((cell[0] + cell[1]) / 2).verdict), *cell) for cell in seen]
        groups = [list(group) for _, group in groupby(led, key=lambda cell: cell[0])]
        ends = [self._parting(one[-1][1:3], other[0][1:3], one[-1][0]) for one, other in pairwise(groups)]
        for group, low, high in zip(groups, [None, *ends], [*ends, None], strict=True):
            chance = self._between(low, high)
            if chance < LEAST:
                continue
            _, start, end, _ = max(group, key=lambda cell: cell[3])
            value = self._table.scale.value
            typical = value((start + end) / 2)
            then = _act(self.after(typical), self.depth - 1, self.reached * chance)
            bounds = [None if edge is None else value(edge) for edge in (low, high)]
            yield Finding(bounds[0], bounds[1], (), chance, typical, then)

    def _parting(self, one: tuple[float, float], other: tuple[float, float], leads_to: object) -> float:
        """Where between the middles of two cells the advice changes."""
        low, high = sum(one) / 2, sum(other) / 2
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            same = _leads_to(self._at(middle).verdict) == leads_to
            low, high = (middle, high) if same else (low, middle)
        return (low + high) / 2

    def _between(self, low: float | None, high: float | None) -> float:
        """Chance of a stretch; readings lie evenly within a cell."""
        total = 0.0
        for (start, end), chance in zip(pairwise(self._edges), self._chances, strict=True):
            bottom = start if low is None else min(max(low, start), end)
            top = end if high is None else min(max(high, start), end)
            total += chance * max(top - bottom, 0.0) / (end - start)
        return total


def _leads_to(verdict: Verdict) -> object:
    """Equal for verdicts that are the same act."""
    return (verdict.action, verdict.measurement, verdict.repair if verdict.action == "repair" else None)


def _far_end(rows: Sequence[ReadingDensity], weights: Sequence[float], last: float) -> float:
    """A position beyond the last edge that nineteen in twenty of the readings beyond it do not reach."""

    def beyond(position: float) -> float:
        return sum(w * (1.0 - row.all_below((position,))[0]) for w, row in zip(weights, rows, strict=True))

    most = beyond(last) / 20.0
    low, high = last, last + 1.0
    while beyond(high) > most and high < 1e4:
        high += high - last
    for _ in range(_SEARCHES):
        middle = (low + high) / 2
        low, high = (middle, high) if beyond(middle) > most else (low, middle)
    return high
