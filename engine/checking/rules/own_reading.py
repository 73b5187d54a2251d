"""A rule that asks for the very reading it predicts.

What: ``given`` or ``unless`` of a rule names a measurement that the rule speaks of.

Why: such a rule takes its conclusion for granted: the reading is explained by itself, and counts for
nothing or for too much.

Bad::

    measurements: [ground_points_inspection]
    given: {ground_points_inspection: corroded}

Good::

    measurements: [ground_points_inspection]
    given: {when_wet: true}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule and reading."""
    kb = survey.kb
    for rule in kb.rules.values():
        own = set(rule.measurements.ids) | {
            m.id for m in kb.measurements.values() if set(m.kinds) & set(rule.measurements.kinds)
        }
        for field, condition in (("given", rule.given), ("unless", rule.unless)):
            for name in sorted(own & condition.names()) if condition is not None else ():
                message = f"rule {rule.id}: its '{field}' asks for {name}, the reading that it predicts"
                advice = "Ask for another reading or for equipment, or take the line out"
                yield problem(f"rules/{rule.id}", rule.origin, message, advice, field, name)
