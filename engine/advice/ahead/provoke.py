"""What makes a fault come that hides: the ways to bring it on, and how likely each is to do it."""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.condition import Facts


@dataclass(frozen=True, slots=True)
class Provocation:
    """A way to bring a fault on.

    fact: the machine fact that says it shows then. how: what to do. told: the operator said so.
    chance: that the fault is one of those which this moves; no more than that is ruled out where it
    stays away.
    """

    fact: str
    how: str
    told: bool
    chance: float


def provocations(assessment: Assessment) -> tuple[Provocation, ...]:
    """Every way that the knowledge base has: what the operator told of first, then the most telling.

    Of a fault met with a share p in general and q under the condition, the part 1 - p/q of such
    complaints is put down to the condition (the attributable fraction; Levin 1953, from memory).
    Ways whose fact was denied are left out; equal ones keep the order of the knowledge base.
    """
    model, marginals = assessment.model, assessment.posterior.marginals()
    found = []
    for fact in model.kb.equipment.values():
        told = model.known.values.get(fact.id)
        if fact.bring_on and told is not False:
            moved = _moved(model, fact.id)
            chance = sum(marginals[i] * moved.get(e.fault, 0.0) for i, e in enumerate(model.elements))
            found.append(Provocation(fact.id, fact.bring_on, told is True, min(chance, 1.0)))
    return tuple(sorted(found, key=lambda way: (not way.told, -round(way.chance, 2))))


def _moved(model: Model, fact: str) -> dict[str, float]:
    """Fault -> the part of its complaints that is put down to the fact."""
    without = {name: value for name, value in model.known.values.items() if name != fact}
    usual, then = Facts({**without, fact: False}), Facts({**without, fact: True})
    moved = {}
    for fault in model.faults.values():
        low, high = (
            next((s.chance for s in fault.shares if s.given is None or s.given.holds(facts) is True), 0.0)
            for facts in (usual, then)
        )
        if high > low:
            moved[fault.id] = 1.0 - low / high
    return moved
