"""Which rules are in force where, and what takes their place without them.

Shared by the checks `shadowed`, `redundant` and `conflicting`. For one fault (with its
degree) and one measurement the engine takes the most specific rule whose conditions hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from crankpath.engine.checking.survey import Slot, Survey, apart
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import EvidenceRule
from crankpath.engine.machine.rule_choice import specificity

SAME = 0.01
"""Rows that differ by less (total variation) say the same."""


@dataclass(frozen=True, slots=True)
class RulePrecedence:
    """The rules that hold together in one slot under one combination of facts, first wins."""

    slot: Slot
    facts: Facts
    rules: tuple[EvidenceRule, ...]

    def rank(self, rule: EvidenceRule) -> tuple[int, int]:
        """How specific a rule is here."""
        return specificity(rule, self.slot.fault, self.slot.measurement)


def contests(survey: Survey) -> Iterator[RulePrecedence]:
    """Every combination that can occur, of every slot in which at least one rule holds."""
    for slot in survey.slots:
        for facts, rules in survey.active(slot) or ():
            if rules:
                yield RulePrecedence(slot, facts, rules)


def untried(survey: Survey) -> frozenset[str]:
    """Rules of slots with too many combinations; nothing is said of them."""
    return frozenset(r.id for slot in survey.slots if survey.active(slot) is None for r in slot.rules)


def says_the_same(survey: Survey, contest: RulePrecedence, a: EvidenceRule, b: EvidenceRule) -> bool:
    """True if two rules read alike there, mask included; what cannot be worked out is taken as written."""
    if a.masks != b.masks:
        return False
    one, other = (survey.row(rule, contest.slot.measurement, contest.facts) for rule in (a, b))
    if one is None or other is None:
        return not contest.slot.measurement.numeric or a.reads == b.reads
    return apart(one, other) < SAME


def changes_nothing(survey: Survey, contest: RulePrecedence) -> bool:
    """True if, without the rule in force, the reading would be expected alike."""
    first = contest.rules[0]
    if len(contest.rules) > 1:
        return says_the_same(survey, contest, first, contest.rules[1])
    measurement = contest.slot.measurement
    row = survey.row(first, measurement, contest.facts)
    if first.masks or row is None:
        return False
    sound = (survey.healthy_row(healthy, measurement, contest.facts) for healthy in measurement.healthy)
    return all(healthy is not None and apart(row, healthy) < SAME for healthy in sound)
