"""Chances that do not add up, or do not fit the values of an observation they are used for.

What: named chances above 1 together, all values named and not 1 together, a word that the
scale does not have (found while the files are read); and, once the circuit has told which
measurements a rule of a kind speaks of, a value that one of them does not have, chances for
what is read in a unit, or a range for what is seen.

Why: the rule would end the program on just that machine.

Bad::

    measurements: {kinds: [joint_look]}
    where: across
    reads: {loos: 0.8}

Good::

    measurements: {kinds: [joint_look]}
    where: across
    reads: {loose: 0.8}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.chance_words import ChanceError, spread
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import EvidenceRule, Measurement, Range


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule that does not fit a measurement it speaks of."""
    told: set[str] = set()
    for slot in survey.slots:
        for rule in slot.rules:
            if rule.id in told:
                continue
            slip, advice = _slip(rule, slot.measurement)
            if slip:
                told.add(rule.id)
                message = f"rule {rule.id} does not fit {slot.measurement.id}, which it speaks of: {slip}"
                yield problem(f"rules/{rule.id}", rule.origin, message, advice, "reads")


def _slip(rule: EvidenceRule, measurement: Measurement) -> tuple[str, str]:
    """What does not fit, and what to do; empty where it fits."""
    if isinstance(rule.reads, Range):
        slip = "" if measurement.numeric else "it states a range, and this is an observation"
        return slip, "Give chances of its values in a rule of its own"
    if measurement.numeric:
        slip = f"it gives chances, and this is read in {measurement.unit}"
        return slip, "Write 'reads: {between: [low, high]}' in a rule of its own"
    try:
        spread(rule.reads, measurement.bands)
    except ChanceError as slip:
        return str(slip), "Name only values that all of them have, or write a rule for this one"
    return "", ""
