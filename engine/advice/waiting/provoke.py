"""What makes a fault come that hides: the ways to bring it on, and how likely each is to do it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from crankpath.engine.advice.guard import Guard
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import BringOn, Fault

TELLING: Final = 0.05
"""Chance that a way moves the fault, from which on it tells anything."""


@dataclass(frozen=True, slots=True)
class Provocation:
    """A way to bring a fault on.

    fact: the machine fact that says it shows then. told: the operator said so. way: what to do, what it
    makes show, how dangerous and how long it is. chance: that the fault is one of those which this moves; no
    more than that is ruled out where it stays away.
    """

    fact: str
    told: bool
    way: BringOn
    chance: float

    @property
    def telling(self) -> bool:
        """Is it worth trying?"""
        return self.told or self.chance >= TELLING


def provocations(guard: Guard) -> tuple[Provocation, ...]:
    """Every way that may be tried now: what was told of first, then the safest and the most telling.

    Of a fault met with a share p in general and q under the condition, the part 1 - p/q of such
    complaints is put down to the condition (the attributable fraction; Levin 1953, from memory).
    Ways whose fact was denied are left out; ways that move next to nothing come last. None where a stop
    forbids tries at the key.
    """
    if guard.tries:
        return ()
    assessment = guard.assessment
    model, marginals = assessment.model, assessment.posterior.marginals()
    found = []
    for fact in model.kb.equipment.values():
        told, way = model.known.values.get(fact.id), fact.bring_on
        if way and told is not False:
            moved = _moved(model, fact.id)
            chance = sum(marginals[i] * moved.get(e.fault, 0.0) for i, e in enumerate(model.elements))
            found.append(Provocation(fact.id, told is True, way, min(chance, 1.0)))
    return tuple(sorted(found, key=_order))


def _order(one: Provocation) -> tuple[bool, bool, int, float]:
    return not one.told, not one.telling, one.way.danger, -one.chance


def _moved(model: Model, fact: str) -> dict[str, float]:
    """Fault -> the part of its complaints that is put down to the fact."""
    without = {name: value for name, value in model.known.values.items() if name != fact}
    usual, then = Facts({**without, fact: False}), Facts({**without, fact: True})
    shares = {fault.id: (_share(fault, usual), _share(fault, then)) for fault in model.faults.values()}
    return {fault: 1.0 - low / high for fault, (low, high) in shares.items() if high > low}


def _share(fault: Fault, facts: Facts) -> float:
    """How often the fault is met on a machine with these facts; never on one that cannot have it."""
    if fault.only is not None and fault.only.holds(facts) is False:
        return 0.0
    return next((s.chance for s in fault.shares if s.given is None or s.given.holds(facts) is True), 0.0)
