"""A rule that the solved machine contradicts.

What: machines with the fault are drawn and solved as electric circuits, every reading is taken
on them, and the bands that come out are held against what the rules expect. Told is what
misleads by more than half a bit a reading on average. This check needs those drawn machines,
so it runs only where they are given (``crankpath kb check --physics N``).

Why: rules are opinions; a circuit answers back.

Bad::

    slight_cable: {faults: [positive_cable], measurements: [positive_post_drop], reads: {high: 0.9}}

Good::

    slight_cable: {faults: [positive_cable], measurements: [positive_cable_drop], reads: {high: 0.9}}
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from crankpath.engine.checking.found import problem
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.trials.physics_check import Comparison

MISLEADS: Final = 0.5
"""Bits a reading, beyond what cannot be avoided, above which a rule is told."""
FEWEST: Final = 30
"""Machines on which a comparison must rest."""


def problems_from_physics(kb: Knowledge, comparisons: Iterable[Comparison]) -> Iterator[Problem]:
    """One problem for each rule and fault that misleads, worst first.

    Args:
        kb: whose rules were compared.
        comparisons: what `crankpath.engine.trials.physics_check.compare` gave.
    """
    misleading = [c for c in comparisons if c.bits > MISLEADS and c.machines >= FEWEST]
    for found in sorted(misleading, key=lambda c: -c.bits):
        seen = max(range(len(found.bands)), key=found.seen.__getitem__)
        who = f"rule {found.rule}" if found.rule else "the healthy reading"
        message = (
            f"{who} expects of {found.fault} ({found.degree}) in {found.measurement} "
            f"'{found.bands[seen]}' with {found.expected[seen]:.0%}; the solved machine shows it in "
            f"{found.seen[seen]:.0%} of {found.machines}"
        )
        entry = f"rules/{found.rule}" if found.rule in kb.rules else f"measurements/{found.measurement}"
        advice = "Correct the chances, add the condition they need, or write a rule for this fault"
        yield problem(entry, found.origin, message, advice)
