"""Limits that overlap, leave a gap, or are never used.

What: for every combination of machine facts that the limits look at, the set in force must
rise from band to band, lie between ``least`` and ``most``, and be computable; and every set
must be in force on some machine.

Why: with limits out of order the engine passes on to the next set without a word; a band
beyond ``most`` can never be read; a set behind one that always holds is dead text.

Bad::

    bands: [low, near, high]
    limits:
      - at: [0.4, {formula: "0.01 * system_voltage"}]   # 0.12 at 12 V: below 0.4

Good::

    bands: [low, near, high]
    limits:
      - at: [0.2, {formula: "0.4 * system_voltage / 12"}]
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from crankpath.engine.checking.entry_problems import problem, told_facts
from crankpath.engine.checking.placed_conditions import atoms
from crankpath.engine.checking.survey import Survey
from crankpath.engine.inference.bands import healthy_in_force
from crankpath.engine.inference.ranges import ends
from crankpath.engine.knowledge.condition import Facts, Is
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import LimitSet, Measurement, Quantity, Range


def check(survey: Survey) -> Iterator[Problem]:
    """The slips of each measurement's limits, one for each set and sort of slip."""
    for measurement in survey.kb.measurements.values():
        if measurement.numeric and measurement.limits and survey.concerns("measurements", measurement.id):
            yield from _of(survey, measurement)


def _of(survey: Survey, measurement: Measurement) -> Iterator[Problem]:
    names = _names(measurement)
    asked = [a for limits in measurement.limits if limits.given is not None for a in atoms(limits.given)]
    banded = {name for atom in asked if isinstance(atom, Is) for name in atom.names()}
    grid = survey.domain.grid(names, bare=names - banded)
    used: set[int] = set()
    beyond: dict[int, tuple[str, str]] = {}
    low: dict[int, tuple[str, str]] = {}
    sound_below = False
    told: set[tuple[int, str]] = set()
    for facts in grid or ():
        index, slip = _in_force(measurement, facts, used)
        if slip and (index, slip[1]) not in told:
            told.add((index, slip[1]))
            if slip[1].startswith("Lower 'least'"):
                low.setdefault(index, slip)
                sound_below |= _sound_is_below(measurement, facts)
            elif slip[1].startswith("Raise 'most'"):
                beyond.setdefault(index, slip)
            else:
                yield _problem(measurement, measurement.limits[index], *slip)
    lowest = _number(measurement.limits[-1].at[0], survey.with_defaults(Facts({}, {})))
    most = _number(measurement.most, survey.with_defaults(Facts({}, {})))
    below_all = most is not None and lowest is not None and most <= lowest
    yield from _of_bound(measurement, low, "least", low.keys() == used or sound_below)
    all_beyond = beyond.keys() == used and (len(beyond) > 1 or below_all)
    yield from _of_bound(measurement, beyond, "most", all_beyond)
    for index, limits in enumerate(measurement.limits):
        if grid is not None and index not in used:
            message = "this set is never in force: whenever it holds, one before it does"
            yield _problem(measurement, limits, message, "Put the narrower set first, or take this one out")


def _of_bound(
    measurement: Measurement, slips: Mapping[int, tuple[str, str]], field: str, is_bound: bool
) -> Iterator[Problem]:
    """Limit sets that a bound contradicts: the bound is told once if all of them do, else each set."""
    if slips and is_bound:
        message, advice = next(iter(slips.values()))
        entry, said = f"measurements/{measurement.id}", f"{measurement.id}: {message}"
        yield problem(entry, measurement.origin, said, advice, field)
    else:
        for index, slip in slips.items():
            yield _problem(measurement, measurement.limits[index], *slip)


def _sound_is_below(measurement: Measurement, facts: Facts) -> bool:
    """True where not even a sound circuit can be read: then it is 'least', and not the limit."""
    least = _number(measurement.least, facts)
    reads = healthy_in_force(measurement, facts).reads
    sound = ends(reads, measurement, facts) if isinstance(reads, Range) and reads.low is not None else None
    return least is not None and sound is not None and sound[1] < least


def _in_force(measurement: Measurement, facts: Facts, used: set[int]) -> tuple[int, tuple[str, str] | None]:
    """Index of the set in force and what is wrong with it there; notes the sets that were used."""
    last = len(measurement.limits) - 1
    for index, limits in enumerate(measurement.limits):
        if limits.given is not None and limits.given.holds(facts) is not True:
            continue
        used.add(index)
        at = [_number(q, facts) for q in limits.at]
        known = [q for q in at if q is not None]
        if len(known) < len(at):
            if index < last:
                continue
            unknown = ", ".join(sorted(n for q in limits.at for n in _used(q) if n not in facts.values))
            return index, (f"a limit cannot be worked out while {unknown} is not known",
                           f"Add 'given: {{{unknown}: known}}' and a last set of plain numbers")  # fmt: skip
        return index, _order(measurement, limits, known, facts)
    return last, None


def _order(
    measurement: Measurement, limits: LimitSet, at: list[float], facts: Facts
) -> tuple[str, str] | None:
    for (low, high), (below, above) in zip(pairwise(at), pairwise(measurement.bands[1:]), strict=False):
        if low >= high:
            where = _where(measurement, limits, facts)
            message = f"the limits above and below '{below}' do not rise ({low:g}, {high:g}{where})"
            return message, f"Let the limit towards '{above}' be the higher one on every machine"
    least, most = _number(measurement.least, facts), _number(measurement.most, facts)
    if at and most is not None and at[-1] >= most:
        beyond = f"it begins at {at[-1]:g}, and 'most' is {most:g}{_where(measurement, limits, facts)}"
        message = f"no reading can lie in '{measurement.bands[-1]}': {beyond}"
        return message, "Raise 'most', or lower the limit"
    if at and least is not None and at[0] <= least:
        beyond = f"it ends at {at[0]:g}, and 'least' is {least:g}{_where(measurement, limits, facts)}"
        message = f"no reading can lie in '{measurement.bands[0]}': {beyond}"
        return message, "Lower 'least', or raise the limit"
    return None


def _where(measurement: Measurement, limits: LimitSet, facts: Facts) -> str:
    quantities = (*limits.at, measurement.least, measurement.most)
    return told_facts(facts, {name for quantity in quantities for name in _used(quantity)})


def _problem(measurement: Measurement, limits: LimitSet, message: str, advice: str) -> Problem:
    return problem(
        f"measurements/{measurement.id}", limits.origin, f"{measurement.id} limits: {message}", advice, "at"
    )


def _number(quantity: Quantity | None, facts: Facts) -> float | None:
    return quantity.value(facts.values) if isinstance(quantity, Formula) else quantity


def _used(quantity: Quantity | None) -> frozenset[str]:
    return quantity.names() if isinstance(quantity, Formula) else frozenset()


def _names(measurement: Measurement) -> set[str]:
    names = {n for limits in measurement.limits if limits.given is not None for n in limits.given.names()}
    quantities = [q for limits in measurement.limits for q in limits.at]
    return names.union(*(_used(q) for q in (*quantities, measurement.least, measurement.most)))
