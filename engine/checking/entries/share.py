"""A share (prior chance) out of line.

What: one fault with a share above 0.3 or below 0.0001; or shares that, on some machine, add up
to less than 0.8 or more than 1.5 of all complaints.

Why: shares are "of 100 such complaints"; one of 0.4 where 0.04 was meant outweighs any
reading. They are estimates, so the sum need not be exactly 1, and is larger where a remark of the
operator is told.

Bad::

    share: 0.4

Good::

    share: 0.04
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crankpath.engine.checking.entry_problems import problem, told_facts
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.condition import Condition, Facts
from crankpath.engine.knowledge.entries.faults import SENSIBLE_SHARES
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Fault, Share
from crankpath.engine.machine.equipment import complete

SMALLEST, LARGEST = SENSIBLE_SHARES
LEAST_SUM: Final = 0.8
MOST_SUM: Final = 1.5


def check(survey: Survey) -> Iterator[Problem]:
    """Single shares, then the sums."""
    for fault in survey.kb.faults.values():
        for share in fault.shares:
            if not SMALLEST <= share.chance <= LARGEST:
                message = f"fault {fault.id}: a share of {share.chance:g} is out of line"
                advice = f"Of all such complaints; between {SMALLEST:g} and {LARGEST:g}, all together about 1"
                yield problem(f"faults/{fault.id}", share.origin, message, advice, "chance")
    yield from _sums(survey)


def _sums(survey: Survey) -> Iterator[Problem]:
    """At most one problem, for the machine that is furthest out."""
    default = survey.default.known.values
    worst: tuple[float, Facts] | None = None
    for facts in _machines(survey):
        total = sum(share.chance for _, share in _in_force(survey, facts))
        if not LEAST_SUM <= total <= MOST_SUM and (worst is None or abs(total - 1) > abs(worst[0] - 1)):
            worst = (total, facts)
    if worst is None:
        return
    total, facts = worst
    fault, share = max(_in_force(survey, facts), key=lambda pair: pair[1].chance)
    told = told_facts(facts, [n for n, v in facts.values.items() if v != default.get(n)])
    message = f"the shares of all faults add up to {total:.3g}{told}; the largest is that of {fault.id}"
    advice = "They are parts of all complaints, about 1 together"
    yield problem(f"faults/{fault.id}", share.origin, message, advice)


def _machines(survey: Survey) -> Iterator[Facts]:
    """Machines that differ in what shares and faults look at: the default, and one fact changed each."""
    for model in survey.machines:
        yield model.known
    conditions = [s.given for f in survey.kb.faults.values() for s in f.shares if s.given is not None]
    for name in sorted({n for c in conditions for n in c.names() if n in survey.kb.equipment}):
        for value, _ in survey.domain.values(name):
            if value is not None:
                yield Facts(complete(survey.kb, {name: value}))


def _in_force(survey: Survey, facts: Facts) -> list[tuple[Fault, Share]]:
    found = []
    for fault in survey.kb.faults.values():
        if fault.only is None or fault.only.holds(facts) is not False:
            share = next((s for s in fault.shares if _holds(s.given, facts)), None)
            if share is not None:
                found.append((fault, share))
    return found


def _holds(given: Condition | None, facts: Facts) -> bool:
    return given is None or given.holds(facts) is True
