"""A rule that changes nothing: without it the same would be expected everywhere.

What: wherever it is in force, the rule that would take its place (or the healthy reading, if
there is none) has the same chances and the same mask.

Why: it looks like knowledge and is none; whoever changes the other rule will wonder why
nothing happens here.

Bad::

    resistance_drops: {faults: {kinds: [main_resistance]}, ..., reads: {high: 0.8}}
    cable_drops: {faults: [positive_cable], ..., reads: {high: 0.8}}

Good::

    resistance_drops: {faults: {kinds: [main_resistance]}, ..., reads: {high: 0.8}}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.precedence import changes_nothing, contests, untried
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule that is in force somewhere and matters nowhere."""
    matters: set[str] = set(untried(survey))
    instead: dict[str, str] = {}
    for contest in contests(survey):
        first = contest.rules[0].id
        if first in matters:
            continue
        if changes_nothing(survey, contest):
            other = f"rule {contest.rules[1].id}" if len(contest.rules) > 1 else "the healthy reading"
            instead.setdefault(first, other)
        else:
            matters.add(first)
    for name, other in instead.items():
        if name not in matters:
            message = f"rule {name} changes nothing: without it {other} says the same"
            origin = survey.kb.rules[name].origin
            yield problem(f"rules/{name}", origin, message, "Take it out, or sharpen it")
