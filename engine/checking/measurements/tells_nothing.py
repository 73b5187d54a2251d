"""A measurement that can tell nothing.

What: no rule makes it read otherwise with any fault than on a healthy circuit, and no
condition, formula or balance looks at it.

Why: it costs minutes and is never suggested; a rule is missing, or its kind is misspelt.

Bad::

    battery_smell: {label: smell at the battery, values: [none, strong], healthy: {none: 0.9}, ...}

Good::

    battery_smell: {...}
    rules:
      boiling_battery_smells: {faults: [battery_worn], measurements: [battery_smell], ...}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.placed_conditions import placed_conditions
from crankpath.engine.checking.precedence import changes_nothing, contests
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each measurement nothing can be learnt from."""
    telling = _looked_at(survey)
    for contest in contests(survey):
        name = contest.slot.measurement.id
        if name not in telling and not changes_nothing(survey, contest):
            telling.add(name)
    for measurement in survey.kb.measurements.values():
        if measurement.id not in telling and f"measurements/{measurement.id}" in survey.own:
            message = f"measurement {measurement.id} can tell nothing: no rule makes a fault change it"
            advice = "Write a rule for it, check its kinds, or take it out"
            yield problem(f"measurements/{measurement.id}", measurement.origin, message, advice)


def _looked_at(survey: Survey) -> set[str]:
    kb = survey.kb
    names = {name for placed in placed_conditions(kb) for name in placed.condition.names()}
    for rule in kb.facts.values():
        names.update(n for v in rule.then.values() if isinstance(v, Formula) for n in v.names())
    for balance in kb.balances.values():
        names.update((balance.whole, *balance.parts))
    return names & set(kb.measurements)
