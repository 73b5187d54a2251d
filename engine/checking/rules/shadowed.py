"""A rule that is never in force because more specific rules always take its place (subsumed).

What: for every fault, degree and measurement it speaks of, and whatever the facts are, another
rule is more specific and holds too.

Why: its chances are never used. Either it is a left-over, or the other rule is wider than meant.

Bad::

    cable_is_slow:                    # every degree has a rule of its own below
      faults: [cable]
      measurements: [crank_speed]
    slight_cable_is_slow: {faults: [cable], degrees: [slight], measurements: [crank_speed], ...}
    open_cable_stands: {faults: [cable], degrees: [open], measurements: [crank_speed], ...}

Good::

    slight_cable_is_slow: {faults: [cable], degrees: [slight], measurements: [crank_speed], ...}
    open_cable_stands: {faults: [cable], degrees: [open], measurements: [crank_speed], ...}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.precedence import contests, untried
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule that holds somewhere and is in force nowhere."""
    winners: dict[str, set[str]] = {}
    in_force: set[str] = set(untried(survey))
    for contest in contests(survey):
        first, *others = contest.rules
        in_force.add(first.id)
        tied = [rule for rule in others if contest.rank(rule) == contest.rank(first)]
        in_force.update(rule.id for rule in tied)  # a tie is another check's
        for rule in others:
            winners.setdefault(rule.id, set()).add(first.id)
    for name, by in winners.items():
        if name not in in_force:
            rule = survey.kb.rules[name]
            told = ", ".join(sorted(by)[:3]) + (", ..." if len(by) > 3 else "")
            message = f"rule {name} is never in force: more specific rules always take its place ({told})"
            yield problem(f"rules/{name}", rule.origin, message, "Take it out, or narrow the others")
