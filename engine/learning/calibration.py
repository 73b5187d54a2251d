"""Closed cases seen again: which rules were too sure of another reading, and whether chances held."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import log2
from typing import Any, Final

from crankpath.engine.bayes.evidence import Metered, Observed
from crankpath.engine.inference.expected import Expected, expected, fits, mean_surprise
from crankpath.engine.inference.ranges import scale_of
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.engine.learning.closed_case import ClosedCase, ClosedReading

_LEAST: Final = 1e-30  # density of what no rule allows


@dataclass(frozen=True, slots=True)
class RuleRecord:
    """What one rule said of one measurement over the cases in which its fault was the cause.

    rule: None where no rule speaks and the healthy reading holds. Of an observation, predicted: mean
    chance of each of its values (bands); read: mean share of each in what was seen. Of a meter
    reading, expected: what it expects, in the unit; values: what was read. cases: names of the cases in
    which something else was read than it holds likeliest (an observation), or outside nine in ten of
    what it expects (a meter). bits: surprise beyond what the rule itself expects,
    ``sum(-log2 P(read)) - H``, over all its cases; above 0 it was too sure.
    """

    rule: str | None
    fault: str
    measurement: str
    origin: Origin
    readings: int
    cases: tuple[str, ...]
    bits: float
    bands: tuple[str, ...] = ()
    predicted: tuple[float, ...] = ()
    read: tuple[float, ...] = ()
    expected: Expected | None = None
    values: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class StatedChance:
    """The repair named before the first repair of a closed case: its chance, and was it needed."""

    case: str
    repair: str
    chance: float
    right: bool
    needed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Heard:
    """One reading of a closed case, with what its cause makes of it."""

    case: str
    piece: ClosedReading
    row: Any

    @property
    def bits(self) -> float:
        """Surprise beyond what is expected."""
        read = self.piece.read
        surprise: float = -log2(max(read.weigh(self.row), _LEAST))
        if isinstance(read, Metered):
            return surprise - mean_surprise(self.row, read.slip, read.slipped)
        expected_bits: float = sum(-c * log2(c) for c in self.row if c > 0.0)
        return surprise - expected_bits

    @property
    def missed(self) -> bool:
        """Was something else read than is expected?"""
        read = self.piece.read
        if isinstance(read, Metered):
            return not fits(self.row, read.position)
        return _highest(read.shares) != _highest(self.row)


def _highest(shares: Sequence[float]) -> int:
    return max(range(len(shares)), key=shares.__getitem__)


@dataclass
class Calibration:
    """Takes closed cases one by one and keeps what their causes made of every reading.

    stated: the likeliest repair of each case with a confirmed cause, before the first repair.
    """

    kb: Knowledge
    stated: list[StatedChance] = field(default_factory=list)
    _heard: dict[tuple[str | None, str, str], list[_Heard]] = field(default_factory=dict)

    def take(self, closed: ClosedCase) -> None:
        """One more case. Of the rules only a case in which one fault was found tells anything."""
        self._state(closed)
        if not closed.blame:
            return
        element = max(closed.blame, key=lambda one: closed.blame[one])
        fault = closed.model.elements[element].fault
        for piece in closed.pieces:
            if not piece.implied and element in piece.left:
                effect = piece.effects.get(element)
                row = piece.healthy[1] if effect is None else effect.row
                key = (None if effect is None else effect.rule, fault, piece.taken.measurement.id)
                self._heard.setdefault(key, []).append(_Heard(closed.name, piece, row))

    def _state(self, closed: ClosedCase) -> None:
        faults = self.kb.faults
        needed = tuple(dict.fromkeys(faults[group[0]].repair for group in closed.found))
        sums: dict[str, float] = {}
        for fault, chance in closed.before_repair.posterior.fault_marginals().items():
            sums[faults[fault].repair] = sums.get(faults[fault].repair, 0.0) + chance
        if needed and sums:
            repair, chance = max(sums.items(), key=lambda pair: pair[1])
            self.stated.append(StatedChance(closed.name, repair, min(chance, 1.0), repair in needed, needed))

    @property
    def misleading(self) -> tuple[RuleRecord, ...]:
        """Rules that something else was read against than they expect, the worst first."""
        spoken = [self._spoken(key, items) for key, items in self._heard.items()]
        return tuple(sorted((s for s in spoken if s.cases and s.bits > 0.0), key=lambda s: -s.bits))

    def _spoken(self, key: tuple[str | None, str, str], items: Sequence[_Heard]) -> RuleRecord:
        rule, fault, name = key
        measurement = self.kb.measurements[name]
        return RuleRecord(
            rule,
            fault,
            name,
            measurement.origin if rule is None else self.kb.rules[rule].origin,
            len(items),
            tuple(item.case for item in items if item.missed),
            sum(item.bits for item in items),
            **_beside(items),
        )


def _beside(items: Sequence[_Heard]) -> dict[str, Any]:
    """What was expected, and what was read."""
    measurement = items[0].piece.taken.measurement
    if measurement.numeric:
        values = tuple(value for item in items if not isinstance(value := item.piece.taken.value, str))
        return {"expected": expected(items[0].row, scale_of(measurement)), "values": values}
    observed = [item.piece.read.shares for item in items if isinstance(item.piece.read, Observed)]
    predicted = _means([item.row for item in items])
    return {"bands": measurement.bands, "predicted": predicted, "read": _means(observed)}


def _means(rows: Sequence[Sequence[float]]) -> tuple[float, ...]:
    return tuple(sum(column) / len(rows) for column in zip(*rows, strict=True))
