"""A condition that always holds, or an ``unless`` that can stop nothing.

What: a line of a condition that is true for every value its name can have; an ``unless`` that
cannot hold while ``given`` does.

Why: it looks as if it distinguished something. Without it the rule is shorter and means the
same; more often another value was meant.

Bad::

    given: {duty: [light, heavy]}      # there is no other duty

Good::

    given: {duty: heavy}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.placed_conditions import atoms, placed_conditions
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import EvidenceRule, FactRule


def check(survey: Survey) -> Iterator[Problem]:
    """Lines that always hold, then ``unless`` that never matters."""
    for placed in placed_conditions(survey.kb):
        for atom in atoms(placed.condition):
            grid = survey.domain.grid(atom.names())
            if grid is not None and all(atom.holds(facts) is True for facts in grid):
                name = f"{placed.entry.split('/', 1)[1]} {placed.field}"
                message = f"{name}: what it says of {', '.join(sorted(atom.names()))} always holds"
                yield problem(placed.entry, placed.origin, message, "Take it out, or write the value meant",
                              placed.field.rpartition(" ")[2], *sorted(atom.names())[:1])  # fmt: skip
    for rule in survey.kb.rules.values():
        yield from _unless(survey, f"rules/{rule.id}", rule, rule.given)
    for fact in survey.kb.facts.values():
        yield from _unless(survey, f"facts/{fact.id}", fact, fact.when)


def _unless(
    survey: Survey, entry: str, rule: EvidenceRule | FactRule, given: Condition | None
) -> Iterator[Problem]:
    if rule.unless is None:
        return
    grid = survey.domain.told_apart([c for c in (given, rule.unless) if c is not None])
    if grid is None:
        return
    both = any(
        rule.unless.holds(facts) is True and (given is None or given.holds(facts) is True) for facts in grid
    )
    if not both:
        message = f"{rule.id}: its 'unless' never holds when the rule does, so it stops nothing"
        yield problem(entry, rule.origin, message, "Take 'unless' out, or correct it", "unless")
