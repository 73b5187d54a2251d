"""A range that no meter can read, that says nothing, or that cannot be worked out.

What: on some machine that the knowledge base can describe, a range (of a rule, of ``healthy:`` or of
``whole:``) has its low end above its high one, ends outside ``least`` and ``most``, or covers nearly
everything between them; its shares add up to more than 1; it gives a share to the whole supply
where the measurement does not say what that reads; or its formula needs a fact that may not be known,
and nothing takes its place.

Why: the reading would be weighed by something else than was meant, and nobody would notice.

Bad::

    most: {formula: "1.3 * system_voltage"}
    reads: {between: [3, {formula: "0.1 * system_voltage"}], whole: 0.2}   # 1.2 V at 12 V

Good::

    whole: [{between: [10, 12.6]}]
    reads: {between: [{formula: "0.1 * system_voltage"}, {formula: "0.3 * system_voltage"}], whole: 0.2}
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.checking.entry_problems import problem, told_facts
from crankpath.engine.checking.survey import Survey, formula_names
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import limits_in_force
from crankpath.engine.inference.ranges import number, scale_of, whole_battery
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Measurement, Origin, Quantity, Range

EVERYTHING: Final = 0.9
"""Part of the meter's own scale between least and most that a range may cover."""
_SLACK: Final = 1e-9


@dataclass(frozen=True, slots=True)
class _Written:
    """A range where it stands. names: of its entry and field. last: nothing takes its place."""

    reads: Range
    entry: str
    origin: Origin
    said: str
    given: frozenset[str]
    last: bool
    path: tuple[str, ...] = ("reads",)


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each range and sort of slip."""
    told: set[tuple[int, str]] = set()
    for measurement, written in _all(survey):
        for sort, message, advice in _slips(survey, measurement, written):
            if (id(written.reads), sort) not in told:
                told.add((id(written.reads), sort))
                said = f"{written.said} {message}"
                yield problem(written.entry, written.origin, said, advice, *written.path, "between")


def _all(survey: Survey) -> Iterator[tuple[Measurement, _Written]]:
    for m in survey.kb.measurements.values():
        entry = f"measurements/{m.id}"
        for place, healthy in enumerate(m.healthy, 1):
            if isinstance(healthy.reads, Range) and m.numeric:
                last, given = place == len(m.healthy), _names(healthy)
                yield m, _Written(healthy.reads, entry, healthy.origin, f"{m.id} healthy:", given, last)
        for place, whole in enumerate(m.whole, 1):
            last, given = place == len(m.whole), _names(whole)
            yield m, _Written(whole.reads, entry, whole.origin, f"{m.id} whole:", given, last, ())
    for slot in survey.slots:
        for rule in slot.rules:
            if isinstance(rule.reads, Range) and slot.measurement.numeric:
                said = f"rule {rule.id} in {slot.measurement.id}:"
                last = rule is slot.rules[-1]
                yield (
                    slot.measurement,
                    _Written(rule.reads, f"rules/{rule.id}", rule.origin, said, _names(rule), last),
                )


def _names(entry: object) -> frozenset[str]:
    given = getattr(entry, "given", None)
    return frozenset(given.names()) if given is not None else frozenset()


def _slips(survey: Survey, measurement: Measurement, written: _Written) -> Iterator[tuple[str, str, str]]:
    reads = written.reads
    shares = reads.nothing + reads.whole + reads.sound
    if shares > 1.0 + _SLACK:
        yield "shares", f"its shares add up to {shares:.2g}", "Let nothing, whole and sound be 1 at most"
    names = formula_names(measurement, reads)
    own = formula_names(measurement, replace(reads, whole=0.0))
    unknown = sorted(name for name in own - written.given if not _always_known(survey, name))
    if unknown and written.last:
        advice = f"Add 'given: {{{unknown[0]}: known}}' and say what is read otherwise"
        yield "unknown", f"it cannot be worked out while {unknown[0]} is not known", advice
    bounds = {n for q in (measurement.least, measurement.most) if isinstance(q, Formula) for n in q.names()}
    for facts in survey.domain.grid((names | bounds) & set(survey.kb.equipment)) or ():
        known = survey.with_defaults(facts)
        yield from _on_a_machine(measurement, reads, known, told_facts(facts, names | bounds))


def _always_known(survey: Survey, name: str) -> bool:
    fact = survey.kb.equipment.get(name)
    return name in survey.with_defaults(Facts({}, {})).values if fact is None else fact.default is not None


def _on_a_machine(
    measurement: Measurement, reads: Range, facts: Facts, where: str
) -> Iterator[tuple[str, str, str]]:
    if reads.whole > 0.0 and whole_battery(measurement, facts) is None:
        advice = "Add 'whole: [{between: [low, high]}]' to the measurement"
        yield "whole", f"{measurement.id} does not say what the whole supply reads there{where}", advice
    low, high = (_end(quantity, measurement, facts) for quantity in (reads.low, reads.high))
    if low is None or high is None:
        return
    if low > high:
        message = f"its low end is above its high end ({low:g}, {high:g}{where})"
        plain = isinstance(reads.low, float) and isinstance(reads.high, float)
        yield "order", message, f"Type [{reads.high:g}, {reads.low:g}]" if plain else "Write the lower first"
        return
    least, most = number(measurement.least, facts), number(measurement.most, facts)
    with suppress(CaseError):  # without a limit in force there is none to be told
        if least is not None and least >= limits_in_force(measurement, facts)[0]:
            return  # 'least' is told beside the limits
    for end, bound, name in ((low, least, "least"), (high, most, "most")):
        if bound is not None and (end < bound - _SLACK if name == "least" else end > bound + _SLACK):
            message = f"{end:g} {measurement.unit} cannot be read: '{name}' is {bound:g}{where}"
            yield name, message, f"Correct the range, or '{name}'"
            return
    scale = scale_of(measurement)
    widest = scale.position(most) - scale.position(max(least or 0.0, 0.0)) if most is not None else 0.0
    rest = 1.0 - reads.nothing - reads.whole - reads.sound
    if rest > _SLACK and 0.0 < widest * EVERYTHING < scale.position(high) - scale.position(low):
        message = f"from {low:g} to {high:g} {measurement.unit} it says nearly nothing{where}"
        yield "width", message, "Narrow it, or take the rule out"


def _end(quantity: Quantity | None, measurement: Measurement, facts: Facts) -> float | None:
    """One end as written, in the unit; None where a fact is not known."""
    found, scale = number(quantity, facts), number(measurement.scale, facts)
    if found is None or scale is None:
        return None
    return found if isinstance(quantity, Formula) else found * scale
