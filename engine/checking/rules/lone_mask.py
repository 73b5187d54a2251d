"""A mask of a rank that no other rule has.

What: ``masks`` of a rule is a number that stands in one rule only, while the others share a few ranks.

Why: ranks are an order: the highest one present takes the reading over. A rank of its own is mostly a
slip of the finger (3 for 30), and puts the rule above or below all others.

Bad::

    masks: 3          # all others have 10, 15, 20 or 30

Good::

    masks: 30
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule with a rank of its own, once there are ranks that rules share."""
    counted = Counter(rule.masks for rule in survey.kb.rules.values() if rule.masks)
    ranks = sorted(rank for rank, rules in counted.items() if rules > 1)
    for rule in survey.kb.rules.values():
        if ranks and rule.masks and f"rules/{rule.id}" in survey.own and counted[rule.masks] == 1:
            text = str(rule.masks)
            near = min(
                ranks, key=lambda rank: (not str(rank).startswith(text.rstrip("0")), abs(rank - rule.masks))
            )
            message = f"rule {rule.id}: no other rule masks with rank {rule.masks}"
            advice = f"The ranks in use are {', '.join(map(str, ranks))}: type {near}, or silence this"
            yield problem(f"rules/{rule.id}", rule.origin, message, advice, "masks")
