"""Fact rules in a circle that never settle.

What: rules that derive each other's grounds, and for some values each undoes another or a
number grows without end. A circle that settles is fine.

Why: the case in which it happens could not be worked on at all.

Bad::

    dead: {when: {current: absent}, then: {control: dead}}
    alive: {when: {current: known}, unless: {control: dead}, then: {current: absent}}

Good::

    dead: {when: {current: absent}, then: {control: dead}}
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from crankpath.engine.checking.circles import circles
from crankpath.engine.checking.entry_problems import problem, told_facts
from crankpath.engine.checking.survey import Survey
from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import FactRule, Knowledge
from crankpath.engine.machine.facts import deduce


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each circle that does not settle, at the rule written first."""
    for circle in _circles(survey.kb):
        yield from _tried(survey, circle)


def _circles(kb: Knowledge) -> Iterator[list[FactRule]]:
    grounds = {rule.id: _grounds(rule) for rule in kb.facts.values()}
    following = {
        rule.id: [other for other, names in grounds.items() if not names.isdisjoint(rule.then)]
        for rule in kb.facts.values()
        if rule.then
    }
    for members in circles(following):
        yield [rule for rule in kb.facts.values() if rule.id in members]


def _grounds(rule: FactRule) -> frozenset[str]:
    formulas = [value.names() for value in rule.then.values() if isinstance(value, Formula)]
    conditions = [c.names() for c in (rule.when, rule.unless) if c is not None]
    return frozenset().union(*formulas, *conditions)


def _tried(survey: Survey, circle: list[FactRule]) -> Iterator[Problem]:
    derived = {name for rule in circle for name in rule.then}
    names = frozenset().union(*(_grounds(rule) for rule in circle)) - derived
    kb = replace(survey.kb, facts={rule.id: rule for rule in circle})
    grid = survey.domain.grid(names)
    told = ", ".join(rule.id for rule in circle)
    first = circle[0]
    if grid is None:
        message = f"fact rules {told} derive each other, in too many ways to try out whether they settle"
        yield problem(f"facts/{first.id}", first.origin, message, "Take one of them out of the circle")
        return
    for facts in grid:
        if not _settles(kb, facts):
            message = f"fact rules {told} never settle{told_facts(facts, names)}: each undoes another"
            yield problem(f"facts/{first.id}", first.origin, message, "Take one of them out of the circle")
            return


def _settles(kb: Knowledge, facts: Facts) -> bool:
    try:
        deduce(kb, facts.values, lambda name, value, known: facts.bands.get(name))
    except KnowledgeError:
        return False
    return True
