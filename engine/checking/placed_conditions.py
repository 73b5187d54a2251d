"""Every condition of a knowledge base with the entry it belongs to, and its smallest parts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from crankpath.engine.knowledge.condition import All, Any, Condition, NoneOf
from crankpath.engine.knowledge.records import Knowledge, Origin


@dataclass(frozen=True, slots=True)
class PlacedCondition:
    """A condition, the field that holds it, its entry ("section/id") and where that stands."""

    condition: Condition
    field: str
    entry: str
    origin: Origin


def placed_conditions(kb: Knowledge) -> Iterator[PlacedCondition]:
    """Every condition of the knowledge base, section by section."""
    for entry, origin, fields in _fields(kb):
        for field, condition in fields:
            if condition is not None:
                yield PlacedCondition(condition, field, entry, origin)


_Fields = tuple[str, Origin, tuple[tuple[str, Condition | None], ...]]


def _fields(kb: Knowledge) -> Iterator[_Fields]:
    for segment in kb.segments.values():
        yield f"segments/{segment.id}", segment.origin, (("only", segment.only),)
    for setup in kb.setups.values():
        yield f"setups/{setup.id}", setup.origin, tuple(("only", way.only) for way in setup.ways)
    for m in kb.measurements.values():
        entry = f"measurements/{m.id}"
        yield entry, m.origin, (("only", m.only),)
        for limits in m.limits:
            yield entry, limits.origin, (("limits given", limits.given),)
        for healthy in m.healthy:
            yield entry, healthy.origin, (("healthy given", healthy.given),)
    for fault in kb.faults.values():
        yield f"faults/{fault.id}", fault.origin, (("only", fault.only),)
        for share in fault.shares:
            yield f"faults/{fault.id}", share.origin, (("share given", share.given),)
    for rule in kb.rules.values():
        yield f"rules/{rule.id}", rule.origin, (("given", rule.given), ("unless", rule.unless))
    for fact in kb.facts.values():
        yield f"facts/{fact.id}", fact.origin, (("when", fact.when), ("unless", fact.unless))
    for balance in kb.balances.values():
        yield f"balances/{balance.id}", balance.origin, (("only", balance.only),)


def atoms(condition: Condition) -> Iterator[Condition]:
    """The parts of a condition that have no parts themselves."""
    if isinstance(condition, All | Any | NoneOf):
        for part in condition.parts:
            yield from atoms(part)
    else:
        yield condition
