"""Chances that do not add up, or do not fit the bands of a measurement they are used for.

What: named chances above 1 together, all bands named and not 1 together, a word that the
scale does not have (found while the files are read); and, once the circuit has told which
measurements a rule of a kind speaks of, a band that one of them does not have.

Why: the rule would end the program on just that machine.

Bad::

    measurements: {kinds: [loaded_drop]}
    where: across
    reads: {sevre: 0.8}

Good::

    measurements: {kinds: [loaded_drop]}
    where: across
    reads: {severe: 0.8}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.found import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.chance_words import ChanceError, spread
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule that does not fit a measurement it speaks of."""
    told: set[str] = set()
    for slot in survey.slots:
        for rule in slot.rules:
            if rule.id in told or survey.row(rule, slot.measurement) is not None:
                continue
            told.add(rule.id)
            try:
                spread(rule.reads, slot.measurement.bands)
            except ChanceError as slip:
                message = f"rule {rule.id} does not fit {slot.measurement.id}, which it speaks of: {slip}"
                advice = "Name only bands that all of them have, or write a rule for this one"
                yield problem(f"rules/{rule.id}", rule.origin, message, advice)
