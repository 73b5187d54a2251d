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

from collections.abc import Iterator, Sequence
from typing import Final

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.precedence import changes_nothing, contests, untried
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import EvidenceRule

_OF_A_RULE: Final = ("faults", "degrees", "measurements", "where", "given", "unless", "masks")


def _same_in_other_words(rules: Sequence[EvidenceRule]) -> str:
    """Of two rules that speak of the same the id of the one that stands further down."""
    if len(rules) < 2 or any(getattr(rules[0], name) != getattr(rules[1], name) for name in _OF_A_RULE):
        return ""
    return max(rules, key=lambda rule: (rule.origin.file, rule.origin.line)).id


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
            later = _same_in_other_words(contest.rules[:2])
            instead.setdefault(*((later, f"rule {first}") if later else (first, other)))
        else:
            matters.add(first)
    for name, other in instead.items():
        if name not in matters:
            message = f"rule {name} changes nothing: without it {other} says the same"
            origin = survey.kb.rules[name].origin
            yield problem(f"rules/{name}", origin, message, "Take it out, or sharpen it")
