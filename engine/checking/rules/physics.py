"""A rule that the solved machine contradicts.

What: machines with the fault are drawn and solved as electric circuits, every reading is taken
on them, and what they read is held against the ranges and chances of the rules. Told is what
misleads by more than half a bit a reading on average. This check needs those drawn machines,
so it runs only where they are given (``crankpath kb check --physics N``).

Why: rules are opinions; a circuit answers back.

Bad::

    slight_cable: {faults: [positive_cable], measurements: [positive_post_drop], reads: {between: [0.4, 3]}}

Good::

    slight_cable: {faults: [positive_cable], measurements: [positive_cable_drop], reads: {between: [0.4, 3]}}
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Final

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.inference.expected import Expected
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge

if TYPE_CHECKING:  # it brings the solved machine, which no other check needs
    from crankpath.engine.trials.physics_check import Comparison

MISLEADS: Final = 0.5
"""Bits a reading, beyond what cannot be avoided, above which a rule is told."""
FEWEST: Final = 30
"""Machines on which a comparison must rest."""
_TOLD: Final = 0.01  # share from which it is worth words


def problems_from_physics(kb: Knowledge, comparisons: Iterable[Comparison]) -> Iterator[Problem]:
    """One problem for each rule and fault that misleads, worst first.

    Args:
        kb: whose rules were compared.
        comparisons: what `crankpath.engine.trials.physics_check.compare` gave.
    """
    misleading = [c for c in comparisons if c.bits > MISLEADS and c.machines >= FEWEST]
    for found in sorted(misleading, key=lambda c: -c.bits):
        who = f"rule {found.rule}" if found.rule else "the healthy reading"
        about = f"{found.fault} ({found.degree}) in {found.measurement}"
        message = f"{who} expects of {about} {_told(kb, found)} of {found.machines}"
        entry = f"rules/{found.rule}" if found.rule in kb.rules else f"measurements/{found.measurement}"
        advice = "Correct it, add the condition it needs, or write a rule for this fault"
        yield problem(entry, found.origin, message, advice)


def _told(kb: Knowledge, found: Comparison) -> str:
    if found.read is None or found.rule_reads is None:
        seen = max(range(len(found.bands)), key=found.seen.__getitem__)
        return (
            f"'{found.bands[seen]}' with {found.expected[seen]:.0%}; the solved machine shows it in "
            f"{found.seen[seen]:.0%}"
        )
    unit = kb.measurements[found.measurement].unit or ""
    return f"{_range(found.rule_reads, unit)}; the solved machine reads {_range(found.read, unit)}"


def _range(said: Expected, unit: str) -> str:
    """5 to 95 %, and the shares that matter."""
    shares = {"nothing": said.nothing, "the whole supply": said.whole, "as on a sound circuit": said.sound}
    told = [f"{name} in {share:.0%}" for name, share in shares.items() if share >= _TOLD]
    if said.low is not None and said.high is not None:
        told.insert(0, f"{said.low:.3g} to {said.high:.3g} {unit}")
    return ", ".join(told)
