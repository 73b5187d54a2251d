"""A rule that makes a fault read better than a healthy circuit.

What: for a measurement that faults push one way (``push: up`` or ``down``), the chance of
staying within any limit is greater with the fault than without it. Rules that mask are left
out: they take the reading over.

Why: several faults are put together by dividing by the healthy chances (noisy-MAX); a fault
that reads better than healthy would make the others look cured.

Bad::

    healthy: {low: 0.9, high: 0.1}
    reads: {low: 0.97, high: 0.03}

Good::

    healthy: {low: 0.9, high: 0.1}
    reads: {low: 0.3, high: 0.7}
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate
from typing import Final

from crankpath.engine.checking.found import problem
from crankpath.engine.checking.survey import Slot, Survey, holds
from crankpath.engine.inference.bands import healthy_in_force
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import EvidenceRule, HealthyReading

SLACK: Final = 0.01
"""Chances are written in round numbers."""


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule, in the measurement and at the band where it is first found."""
    told: set[str] = set()
    done: set[tuple[str, tuple[str, ...]]] = set()
    for slot in survey.slots:
        key = (slot.measurement.id, tuple(rule.id for rule in slot.rules))
        if slot.measurement.worsens == "both" or key in done:
            continue
        done.add(key)
        for rule, healthy in _beside(survey, slot):
            message = "" if rule.id in told else _worst(survey, slot, rule, healthy)
            if message:
                told.add(rule.id)
                advice = "Lower that chance, or raise the worse bands; or let the rule mask"
                yield problem(f"rules/{rule.id}", rule.origin, message, advice)


def _beside(survey: Survey, slot: Slot) -> list[tuple[EvidenceRule, HealthyReading]]:
    """Each rule that does not mask, with the healthy readings that hold while it is in force."""
    rules = [c for rule in slot.rules for c in (rule.given, rule.unless)]
    conditions = [c for c in (*rules, *(h.given for h in slot.measurement.healthy)) if c is not None]
    found: dict[tuple[str, int], tuple[EvidenceRule, HealthyReading]] = {}
    for facts in survey.domain.grid({name for c in conditions for name in c.names()}) or ():
        rule = next((rule for rule in slot.rules if holds(rule, facts)), None)
        if rule is not None and not rule.masks:
            healthy = healthy_in_force(slot.measurement, facts)
            found.setdefault((rule.id, id(healthy)), (rule, healthy))
    return list(found.values())


def _worst(survey: Survey, slot: Slot, rule: EvidenceRule, healthy: HealthyReading) -> str:
    row = survey.row(rule, slot.measurement)
    if row is None:
        return ""
    step = -1 if slot.measurement.worsens == "down" else 1
    bands = slot.measurement.bands[::step]
    sums = zip(accumulate(row[::step]), accumulate(healthy.chances[::step]), strict=True)
    excess, index = max((own - sound, index) for index, (own, sound) in enumerate(sums))
    if excess <= SLACK:
        return ""
    within = f"'{bands[index]}'" + (" or better" if index else "")
    return (
        f"rule {rule.id} reads better than healthy in {slot.measurement.id}: "
        f"{within} is likelier by {excess:.2g} than on a sound circuit"
    )
