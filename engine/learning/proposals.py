"""What rules should say is read instead, each with what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.bayes.densities import NINE_IN_TEN, OF_DEVIATION, Scale
from crankpath.engine.inference.ranges import ends, number, scale_of
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import Knowledge, Measurement, Quantity, Range
from crankpath.engine.learning.fitting import FittedRange, fit_chances, fit_range
from crankpath.engine.learning.heard import Heard

WORTH: Final = "readings_worth"
"""The setting: as many readings as what a rule states is worth."""
LEAST_READINGS: Final = 3.0
"""A proposal rests on at least as many."""
_LEAST_BITS: Final = 0.05  # what foretells a reading no better than this stays as it is
_LEAST_WEIGHT: Final = 0.1  # a case of which a rule speaks less surely is not named as standing behind it
_SMALLEST: Final = 0.0005  # chance that is written
_DIGITS: Final = 3

Reads = Range | Mapping[str, float]
"""A range, or the chance of each value of an observation."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """One rule that should say something else.

    Attributes:
        rule: its id.
        measurement: whose readings it rests on; of a rule on several, that of the first reading.
        old, new: what it says, and what it should.
        readings: how many that rests on; a reading of which the rule speaks perhaps counts as a part.
        bits: by which a reading is foretold better, on average.
        middle: where the middle of the range lay, and between what it lies now, nine chances in ten: in the
            measurement's unit as a plain number is written, or as a multiple of what it was where an end is
            a formula. None of an observation.
        chances: between what each chance lies, nine chances in ten: of every value, or of what of a range
            is not the range itself (`nothing`, `whole`, `sound`).
        cases: (name, what was read) of the cases behind it, in the order in which they were looked at.
    """

    rule: str
    measurement: Measurement
    old: Reads
    new: Reads
    readings: float
    bits: float
    middle: tuple[float, float, float] | None
    chances: Mapping[str, tuple[float, float]]
    cases: tuple[tuple[str, float | str], ...]


def proposals(kb: Knowledge, heard: Iterable[Heard], worth: float) -> tuple[Proposal, ...]:
    """What should change, what foretells most better first.

    Args:
        kb: states what is known before; its rules are those that were heard.
        heard: what was read where each rule speaks.
        worth: as many readings as what a rule states is worth, above 0.
    """
    found = [made for one in heard if (made := _proposal(kb, one, worth)) is not None]
    return tuple(sorted(found, key=lambda one: (-one.bits * one.readings, one.rule)))


def learnt(kb: Knowledge, accepted: Iterable[Proposal]) -> Knowledge:
    """The knowledge with some proposals in it."""
    changed = {one.rule: replace(kb.rules[one.rule], reads=one.new) for one in accepted}
    return replace(kb, rules={**kb.rules, **changed})


def _proposal(kb: Knowledge, heard: Heard, worth: float) -> Proposal | None:
    old = kb.rules[heard.rule].reads
    made = _of_chances(heard, old, worth) if isinstance(old, Mapping) else _of_range(heard, old, worth)
    if made is None or made.readings < LEAST_READINGS or made.bits < _LEAST_BITS or made.new == old:
        return None
    return made


def _of_chances(heard: Heard, old: Mapping[str, float], worth: float) -> Proposal | None:
    if not heard.seen:
        return None
    fitted, bands = fit_chances(heard.seen, heard.row, worth), heard.measurement.bands
    chances = {band: fitted.shares.interval(n) for n, band in enumerate(bands)}
    new = _rounded(dict(zip(bands, fitted.shares.means, strict=True)))
    cases = tuple((one.case, one.value) for one in heard.seen if one.weight >= _LEAST_WEIGHT)
    return Proposal(
        heard.rule, heard.measurement, old, new, fitted.readings, fitted.bits, None, chances, cases
    )


def _rounded(chances: Mapping[str, float]) -> dict[str, float]:
    """The same with few digits, summing to 1 as the chances do; next to nothing is written as that."""
    first = max(chances, key=chances.__getitem__)
    found = {value: max(float(f"{c:.2g}"), _SMALLEST) for value, c in chances.items() if value != first}
    found[first] = round(1.0 - sum(found.values()), 4)
    return {value: found[value] for value in sorted(found, key=lambda value: -found[value])}


def _of_range(heard: Heard, old: Range, worth: float) -> Proposal | None:
    if not heard.points or old.between is None:
        return None
    stated = (1.0 - old.nothing - old.whole - old.sound, old.nothing, old.whole, old.sound)
    fitted = fit_range(heard.points, stated, worth)
    drawn = _Drawn.of(old, heard.measurement, heard.facts)
    if drawn is None:
        return None
    means, parts = fitted.shares.means, ("nothing", "whole", "sound")
    shares = {p: float(f"{mean:.2g}") for p, mean in zip(parts, means[1:], strict=True) if mean > 0.0}
    new = replace(old, between=drawn.ends(fitted), **shares)
    chances = {part: fitted.shares.interval(n) for n, part in enumerate(parts, 1) if part in shares}
    cases = tuple((one.case, one.value) for one in heard.points if one.weight >= _LEAST_WEIGHT)
    middle = drawn.middles(fitted)
    return Proposal(
        heard.rule, heard.measurement, old, new, fitted.readings, fitted.bits, middle, chances, cases
    )


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A range as it lies on the meter's scale on one machine, from -1 at its lower end to 1 at the upper.

    times: by which its plain numbers are multiplied there.
    """

    scale: Scale
    between: tuple[Quantity, Quantity]
    facts: Facts
    times: float
    middle: float
    half: float

    @classmethod
    def of(cls, reads: Range, measurement: Measurement, facts: Facts) -> _Drawn | None:
        at, scale = ends(reads, measurement, facts), scale_of(measurement)
        times = number(measurement.scale, facts)
        if at is None or not times or reads.between is None:
            return None
        low, high = map(scale.position, at)
        half = max((high - low) / 2.0, OF_DEVIATION * NINE_IN_TEN / 2.0)
        return cls(scale, reads.between, facts, times, (low + high) / 2.0, half)

    def value(self, at: float) -> float:
        """The reading at a place, in the unit."""
        return self.scale.value(max(self.middle + self.half * at, 0.0))

    def middles(self, fitted: FittedRange) -> tuple[float, float, float]:
        """The old middle and the two ends of the new one, as `Proposal.middle`."""
        before, *now = (self.value(at) for at in (0.0, *fitted.main.middle))
        formula = any(isinstance(end, Formula) for end in self.between)
        unit = before if formula and before > 0.0 else self.times
        return before / unit, now[0] / unit, now[1] / unit

    def ends(self, fitted: FittedRange) -> tuple[Quantity, Quantity]:
        """The ends of the new range, written as those of the old one are."""
        low, high = (self._end(end, at) for end, at in zip(self.between, fitted.main.range, strict=True))
        return low, high

    def _end(self, old: Quantity, at: float) -> Quantity:
        new = self.value(at)
        if not isinstance(old, Formula):
            return _few(new / self.times)
        before = number(old, self.facts)
        return old if not before else times(old, new / before)


def _few(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")


def times(formula: Formula, ratio: float) -> Formula:
    """The formula multiplied; a plain factor in front of a product is multiplied itself.

    >>> times(Formula.parse("0.35 * usual_crank_current"), 1.2).text
    '0.42 * usual_crank_current'
    >>> times(Formula.parse("a + b"), 1.2).text
    '1.2 * (a + b)'
    """
    first, _, rest = formula.text.partition("*")
    factor = _as_number(first)
    if factor is not None and rest and not set("+-/") & set(rest):
        return Formula.parse(f"{_few(factor * ratio):g} * {rest.strip()}")
    simple = formula.text.replace("_", "").isalnum()
    return Formula.parse(f"{_few(ratio):g} * " + (formula.text if simple else f"({formula.text})"))


def _as_number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
