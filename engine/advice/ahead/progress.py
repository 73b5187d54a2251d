"""How much reading is left before a repair is named: the policy followed ahead on the likeliest hypotheses.

The look ahead is cheap: few hypotheses, the readings that are worth most now, and outcomes that point to the
same repair taken together. How far it is out is found on drawn machines (`crankpath evaluate --progress`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import mul
from typing import Final

from crankpath.engine.advice.leading_hypotheses import LeadingHypotheses
from crankpath.engine.advice.options import Options
from crankpath.engine.advice.suggestions import Suggestions
from crankpath.engine.bayes.combining import Chances

_HYPOTHESES: Final = 16
_READINGS: Final = 7  # that are looked at for each step ahead
_DEEPEST: Final = 6
_RARE: Final = 0.03  # chance of a branch below which it is taken to go on as the others do

Weights = Sequence[float]


@dataclass(frozen=True, slots=True)
class Progress:
    """Readings and minutes expected until a repair is named or nothing here tells more."""

    readings: float
    minutes: float


@dataclass(frozen=True)
class LookAhead:
    """The policy followed ahead from one assessment.

    first: the reading that is advised now; None where nothing is to be read.
    """

    options: Options
    leading: LeadingHypotheses
    suggestions: Suggestions
    first: str | None

    @cached_property
    def progress(self) -> Progress:
        """What is still to be read, on average; a reading that is advised counts at least as itself."""
        if self.first is None:
            return Progress(0.0, 0.0)
        if self.first not in self._columns:
            measurement = self.options.assessment.model.measurements[self.first]
            return Progress(1.0, self.options.minutes(measurement))
        readings, minutes = self._left(self._few.weights, (), 0)
        scale = self.options.assessment.model.kb.settings["left_scale"]
        return Progress(max(1.0, readings * scale), minutes * scale)

    @cached_property
    def _few(self) -> LeadingHypotheses:
        """The hypotheses that the policy is followed on."""
        return self.leading.foremost(_HYPOTHESES)

    @cached_property
    def _columns(self) -> dict[str, tuple[Chances, ...]]:
        """The readings looked at: for each outcome its chance under every hypothesis."""
        measurements = self.options.assessment.model.measurements
        telling = [s.measurement for s in self.suggestions.new if s.bits > 0.0][:_READINGS]
        names = dict.fromkeys([*([self.first] if self.first else []), *telling])
        open_now = {m.id for m in self.options.open}
        rows = {name: self._few.outcomes(measurements[name]) for name in names if name in open_now}
        return {name: tuple(zip(*outcomes, strict=True)) for name, outcomes in rows.items()}

    def _left(self, weights: Weights, taken: tuple[str, ...], depth: int) -> tuple[float, float]:
        """Readings and minutes from here on; the weights sum to the chance of coming here."""
        name = self.first if depth == 0 else self._next(weights, taken)
        if name is None or depth == _DEEPEST:
            return 0.0, 0.0
        readings = minutes = seen = 0.0
        for branch in self._branches(weights, name):
            chance = sum(branch)
            if chance >= _RARE:
                further = self._left(branch, (*taken, name), depth + 1)
                readings, minutes = readings + chance * further[0], minutes + chance * further[1]
                seen += chance
        seen = seen or 1.0
        return 1.0 + readings / seen, self._minutes(name, taken) + minutes / seen

    def _next(self, weights: Weights, taken: tuple[str, ...]) -> str | None:
        """The reading that saves most; None once a repair is proven or none saves any."""
        costs, sums = self._few.repair_costs, self._few.sums(weights)
        proven = self.options.assessment.model.kb.settings["proven_at"]
        whole = sum(sums)
        if max(costs.chances(sums), default=0.0) >= proven * whole:
            return None
        now, best, most = costs.expected_repair_cost(sums), None, 0.0
        for name, columns in self._columns.items():
            if name in taken:
                continue
            joint = [self._few.sums(list(map(mul, weights, column))) for column in columns]
            gain = (now - sum(map(costs.expected_repair_cost, joint))) / whole
            saves = gain - self._minutes(name, taken)
            if saves > most:
                best, most = name, saves
        return best

    def _branches(self, weights: Weights, name: str) -> Iterator[Weights]:
        """The weights after each outcome; outcomes that point to the same repairs go together."""
        found: dict[int, list[float]] = {}
        for column in self._columns[name]:
            after = list(map(mul, weights, column))
            sums = self._few.sums(after)
            points_to = max(range(len(sums)), key=sums.__getitem__)
            known = found.get(points_to)
            found[points_to] = after if known is None else [a + b for a, b in zip(known, after, strict=True)]
        yield from found.values()

    def _minutes(self, name: str, taken: tuple[str, ...]) -> float:
        """Minutes of a reading after others, whose set-up stands."""
        key = (name, frozenset(taken))
        if key not in self._known_minutes:
            measurements = self.options.assessment.model.measurements
            before = [measurements[other] for other in taken]
            both = self.options.minutes(*before, measurements[name])
            self._known_minutes[key] = both - self.options.minutes(*before) + self.options.asking
        return self._known_minutes[key]

    @cached_property
    def _known_minutes(self) -> dict[tuple[str, frozenset[str]], float]:
        return {}
