"""Two rules that are equally specific, hold together and say different things.

What: for one fault, degree and measurement two rules tie (fault by id, named degree,
measurement by id, number of conditions) and can hold at the same time with other chances.

Why: which of them counts would depend on the order in the files.

Bad::

    a: {faults: [cable], measurements: [drop], given: {duty: heavy}, reads: {high: 0.9}}
    b: {faults: [cable], measurements: [drop], given: {fuel: diesel}, reads: {low: 0.9}}

Good::

    a: {faults: [cable], measurements: [drop], given: {duty: heavy}, reads: {high: 0.9}}
    b: {faults: [cable], measurements: [drop], given: {duty: light}, reads: {low: 0.9}}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem, told_facts
from crankpath.engine.checking.precedence import RulePrecedence, contests, says_the_same
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import EvidenceRule


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each pair of rules that tie."""
    told: set[tuple[str, str]] = set()
    for contest in contests(survey):
        first = contest.rules[0]
        for rule in contest.rules[1:]:
            pair = (first.id, rule.id)
            tie = contest.rank(rule) == contest.rank(first)
            if tie and pair not in told and not says_the_same(survey, contest, first, rule):
                told.add(pair)
                yield _problem(contest, first, rule)


def _problem(contest: RulePrecedence, first: EvidenceRule, rule: EvidenceRule) -> Problem:
    names = {n for r in (first, rule) for c in (r.given, r.unless) if c is not None for n in c.names()}
    where = f"{contest.slot.fault.id} ({contest.slot.degree}) and {contest.slot.measurement.id}"
    message = (
        f"rule {rule.id} ties with {first.id} ({first.origin}) for {where}"
        f"{told_facts(contest.facts, names)}, and they read differently"
    )
    advice = "Name the fault or measurement by id in the one that is to win, or give it one condition more"
    return problem(f"rules/{rule.id}", rule.origin, message, advice)
