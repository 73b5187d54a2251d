"""A rule that makes a fault read better than a healthy circuit.

What: for an observation that faults move one way (``combination: largest`` or ``smallest``), the
chance of staying within any value is greater with the fault than without it. For a meter reading
that faults move one way (``adds``, ``largest``, ``smallest``), the range lies on the good side of
the healthy one. Rules that mask are left out: they take the reading over.

Why: a fault cannot mend a circuit; together with another one it would make that look cured.

Bad::

    healthy: {between: [0.1, 0.3]}
    reads: {between: [0.01, 0.05]}

Good::

    healthy: {between: [0.1, 0.3]}
    reads: {between: [0.4, 3]}
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import accumulate
from typing import Final

from crankpath.engine.bayes.combining import Chances
from crankpath.engine.bayes.densities import MAIN, NINE_IN_TEN, Component, Density
from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Row, Slot, Survey, formula_names, holds
from crankpath.engine.inference.bands import healthy_in_force
from crankpath.engine.inference.ranges import scale_of
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import EvidenceRule, HealthyReading, Measurement, Range

SLACK: Final = 0.01
"""Chances are written in round numbers."""
_SEVERAL: Final = 2
APART: Final = 1.0
"""Middles of ranges nearer than this many standard deviations of a reading are the same."""


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule, in the measurement and at the place where it is first found.

    Where several rules of one measurement do, what a sound circuit reads is the odd one.
    """
    found = list(_rules(survey))
    by_reading = Counter(measurement.id for measurement, _ in found)
    told: set[str] = set()
    for measurement, slip in found:
        entry = f"measurements/{measurement.id}"
        if by_reading[measurement.id] < _SEVERAL or entry not in survey.own:
            yield slip
        elif entry not in told:
            told.add(entry)
            message = f"{by_reading[measurement.id]} rules read better than healthy in {measurement.id}"
            yield problem(entry, measurement.origin, message, "Correct 'healthy', or the rules", "healthy")


def _rules(survey: Survey) -> Iterator[tuple[Measurement, Problem]]:
    told: set[str] = set()
    done: set[tuple[str, tuple[str, ...]]] = set()
    for slot in survey.slots:
        key = (slot.measurement.id, tuple(rule.id for rule in slot.rules))
        if slot.measurement.worsens == "both" or key in done or not _concerned(survey, slot):
            continue
        done.add(key)
        for rule, healthy, facts in _beside(survey, slot):
            row = survey.row(rule, slot.measurement, facts)
            sound = survey.healthy_row(healthy, slot.measurement, facts)
            known = _of_the_machine(survey, slot.measurement, rule.reads, healthy.reads)
            found = _found(slot.measurement, row, sound) if known and rule.id not in told else ""
            if found:
                told.add(rule.id)
                message = f"rule {rule.id} reads better than healthy in {slot.measurement.id}: {found}"
                advice = "Say what the fault makes worse; or let the rule mask"
                where = problem(f"rules/{rule.id}", rule.origin, message, advice, "reads", "between")
                yield slot.measurement, where


def _concerned(survey: Survey, slot: Slot) -> bool:
    """True if the reading or one of the rules is the folder's own."""
    entries = (f"measurements/{slot.measurement.id}", *(f"rules/{rule.id}" for rule in slot.rules))
    return not survey.own.isdisjoint(entries)


def _beside(survey: Survey, slot: Slot) -> list[tuple[EvidenceRule, HealthyReading, Facts]]:
    """Each rule that does not mask, with the healthy readings that hold while it is in force."""
    rules = [c for rule in slot.rules for c in (rule.given, rule.unless)]
    conditions = [c for c in (*rules, *(h.given for h in slot.measurement.healthy)) if c is not None]
    found: dict[tuple[str, int], tuple[EvidenceRule, HealthyReading, Facts]] = {}
    for facts in survey.domain.told_apart(conditions) or ():
        rule = next((rule for rule in slot.rules if holds(rule, facts)), None)
        if rule is not None and not rule.masks:
            healthy = healthy_in_force(slot.measurement, facts)
            found.setdefault((rule.id, id(healthy)), (rule, healthy, facts))
    return list(found.values())


def _of_the_machine(survey: Survey, measurement: Measurement, *reads: object) -> bool:
    """True if no range depends on another reading, which is tried at values no machine has."""
    names = formula_names(measurement, *(one for one in reads if isinstance(one, Range)))
    return names <= set(survey.kb.equipment)


def _found(measurement: Measurement, row: Row | None, sound: Row | None) -> str:
    if row is None or sound is None:
        return ""
    if isinstance(row, Density) and isinstance(sound, Density):
        return _better_range(measurement, row, sound)
    assert not isinstance(row, Density)
    assert not isinstance(sound, Density)
    return _better_value(measurement, row, sound)


def _better_range(measurement: Measurement, row: Density, sound: Density) -> str:
    ranges = [[part for part in one.parts if part.sort == MAIN] for one in (row, sound)]
    if not all(ranges):
        return ""
    own, healthy = (max(parts) for parts in ranges)
    way = -1.0 if measurement.worsens == "down" else 1.0
    ends = [way * part.middle + NINE_IN_TEN / 2.0 * part.spread for part in (own, healthy)]
    if way * (healthy.middle - own.middle) <= APART or ends[0] >= ends[1]:
        return ""
    return f"{_told(measurement, own)}, and a sound circuit {_told(measurement, healthy)}"


def _told(measurement: Measurement, part: Component) -> str:
    scale, half = scale_of(measurement), NINE_IN_TEN / 2.0 * part.spread
    low, high = (scale.value(max(end, 0.0)) for end in (part.middle - half, part.middle + half))
    return f"{low:.3g} to {high:.3g} {measurement.unit}"


def _better_value(measurement: Measurement, row: Chances, sound: Chances) -> str:
    step = -1 if measurement.worsens == "down" else 1
    values = measurement.bands[::step]
    sums = zip(accumulate(row[::step]), accumulate(sound[::step]), strict=True)
    excess, index = max((own - other, index) for index, (own, other) in enumerate(sums))
    if excess <= SLACK:
        return ""
    within = f"'{values[index]}'" + (" or better" if index else "")
    return f"{within} is likelier by {excess:.2g} than on a sound circuit"
