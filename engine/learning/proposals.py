"""What rules should say is read instead, each with what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.bayes.densities import NINE_IN_TEN, OF_DEVIATION, Scale
from crankpath.engine.inference.ranges import ends, number, scale_of
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import Knowledge, Measurement, Quantity, Range, Selector
from crankpath.engine.learning.fitting import FittedRange, fit_chances, fit_range
from crankpath.engine.learning.rule_samples import RuleSample

WORTH: Final = "readings_worth"
"""The setting: as many cases as what a rule says is read is worth."""
LEAST_CASES: Final = 3.0
"""A proposal rests on at least as many."""
_SEVERAL: Final = 2.0
"""Cases of so many faults, evenly met, speak for a rule on a kind; those of fewer only for themselves."""
_LEAST_BITS: Final = 0.05  # what foretells a reading no better than this stays as it is
_LEAST_WEIGHT: Final = 0.1  # a case of which a rule speaks less surely is not named as standing behind it
_SMALLEST: Final = 0.0005  # chance that is written
_DIGITS: Final = 3

Reads = Range | Mapping[str, float]
"""A range, or the chance of each value of an observation."""


@dataclass(frozen=True, slots=True)
class RuleProposal:
    """What one rule should say of one fault.

    Attributes:
        rule: its id.
        fault: of which it should say so; "" where cases of several faults speak for all of them.
        id: of the rule that then says it: the same, or where one fault speaks for itself a new one beside
            it, so that what that fault shows changes nothing that is said of the others.
        measurement: read in the first case; of a rule on several one for all, where a unit is needed.
        old, new: what it says, and what it should.
        weight: how many cases that rests on; one of which the rule speaks perhaps counts as a part.
        bits: by which a reading is foretold better, on average.
        middle: where the middle of the range lay, and between what it lies now, nine chances in ten: in the
            measurement's unit as a plain number is written, or as a multiple of what it was where an end is
            a formula. None of an observation.
        chances: between what each chance lies, nine chances in ten: of every value, or of what of a range
            is not the range itself (`nothing`, `whole`, `sound`).
        cases: (name, measurement, what was read) of what is behind it, in the order of looking.
    """

    rule: str
    fault: str
    id: str
    measurement: Measurement
    old: Reads
    new: Reads
    weight: float
    bits: float
    middle: tuple[float, float, float] | None
    chances: Mapping[str, tuple[float, float]]
    cases: tuple[tuple[str, str, float | str], ...]


def proposals(kb: Knowledge, heard: Iterable[RuleSample], worth: float) -> tuple[RuleProposal, ...]:
    """What should change, what foretells most better first.

    Args:
        kb: states what is known before; its rules are those that were heard.
        heard: what was read where each rule speaks.
        worth: as many cases as what a rule says is read is worth, above 0.
    """
    by_rule: dict[str, list[RuleSample]] = {}
    for one in heard:
        by_rule.setdefault(one.rule, []).append(one)
    spoken = [
        one for id_, group in by_rule.items() for one in _speaking(group, bool(kb.rules[id_].faults.ids))
    ]
    found = [made for one in spoken if (made := _proposal(kb, one, worth)) is not None]
    return tuple(sorted(found, key=lambda one: (-one.bits * one.weight, one.id)))


def _speaking(group: Sequence[RuleSample], named: bool) -> Sequence[RuleSample]:
    """What was heard of one rule: of all its faults together where several were met, or fault by fault.

    A rule that names its faults was written for just these, and a copy about one of them would tie with it.

    How many were met evenly is ``sum(w) ** 2 / sum(w * w)`` (the effective sample size of Kish 1965; from
    memory).
    """
    weights = [one.weight for one in group]
    squares = sum(weight * weight for weight in weights)
    if squares <= 0.0 or (sum(weights) ** 2 < _SEVERAL * squares and not named):
        return group
    points = [point for one in group for point in one.points]
    return [replace(group[0], fault="", points=points, seen=[seen for one in group for seen in one.seen])]


def with_proposals(kb: Knowledge, accepted: Iterable[RuleProposal]) -> Knowledge:
    """The knowledge with some proposals in it."""
    changed = {}
    for one in accepted:
        about = kb.rules[one.rule].faults if one.id == one.rule else Selector((one.fault,), ())
        degrees = degrees_concerned(kb, one)
        changed[one.id] = replace(
            kb.rules[one.rule], id=one.id, faults=about, degrees=degrees, reads=one.new
        )
    return replace(kb, rules={**kb.rules, **changed})


def degrees_concerned(kb: Knowledge, one: RuleProposal) -> tuple[str, ...]:
    """The degrees that the new rule is about: of those that the rule names, the ones the fault has."""
    named = kb.rules[one.rule].degrees
    return tuple(d for d in named if not one.fault or d in kb.faults[one.fault].degrees)


def _proposal(kb: Knowledge, heard: RuleSample, worth: float) -> RuleProposal | None:
    rule = kb.rules[heard.rule]
    alone, old = not heard.fault or rule.faults == Selector((heard.fault,), ()), rule.reads
    if not (alone or heard.narrow):
        return None
    made = _of_chances(heard, old, worth) if isinstance(old, Mapping) else _of_range(heard, old, worth)
    if made is None or made.weight < LEAST_CASES or made.bits < _LEAST_BITS or made.new == old:
        return None
    return made if alone else replace(made, id=f"{heard.rule}_of_{heard.fault}")


def _of_chances(heard: RuleSample, old: Mapping[str, float], worth: float) -> RuleProposal | None:
    if not heard.seen:
        return None
    fitted, bands = fit_chances(heard.seen, heard.row, worth), heard.measurement.bands
    chances = {band: fitted.shares.interval(n) for n, band in enumerate(bands)}
    new = _rounded(dict(zip(bands, fitted.shares.means, strict=True)))
    behind = (one for one in heard.seen if one.weight >= _LEAST_WEIGHT)
    cases = tuple((one.case, one.measurement, one.value) for one in behind)
    about = heard.rule, heard.fault, heard.rule, heard.measurement
    return RuleProposal(*about, old, new, fitted.cases, fitted.bits, None, chances, cases)


def _rounded(chances: Mapping[str, float]) -> dict[str, float]:
    """The same with few digits, summing to 1 as the chances do; next to nothing is written as that."""
    first = max(chances, key=chances.__getitem__)
    found = {value: max(float(f"{c:.2g}"), _SMALLEST) for value, c in chances.items() if value != first}
    found[first] = round(1.0 - sum(found.values()), 4)
    return {value: found[value] for value in sorted(found, key=lambda value: -found[value])}


def _of_range(heard: RuleSample, old: Range, worth: float) -> RuleProposal | None:
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
    behind = (one for one in heard.points if one.weight >= _LEAST_WEIGHT)
    cases = tuple((one.case, one.measurement, one.value) for one in behind)
    middle = drawn.middles(fitted)
    about = heard.rule, heard.fault, heard.rule, heard.measurement
    return RuleProposal(*about, old, new, fitted.cases, fitted.bits, middle, chances, cases)


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
        """The old middle and the two ends of the new one, as `RuleProposal.middle`."""
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
