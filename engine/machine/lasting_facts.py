"""Facts that stand over a whole case: by the latest reading of everything, until they are over.

Whether the engine is locked is not forgotten when a post is cleaned. What a rule says is over once
what it names (``until``, ``until_repaired``) comes after the readings it rests on, or once a repair
after them cured the machine.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from crankpath.engine.knowledge.building.known_names import DONE
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.records import FactRule, Knowledge
from crankpath.engine.machine.facts import Deduction


def lasting_facts(
    kb: Knowledge,
    given: Mapping[str, FactValue],
    read_at: Mapping[str, int],
    repaired_at: Mapping[str, int],
    cured_at: int,
    deduce: Callable[[Mapping[str, FactValue], Collection[str]], Deduction],
) -> Deduction:
    """The facts that stand.

    Args:
        kb: whose fact rules are applied.
        given: equipment, and the latest value of every reading, by name.
        read_at: reading -> its place among the entries.
        repaired_at: repair made -> its place, the last time.
        cured_at: place of the last repair that cured; -1 for none.
        deduce: what follows from what is given, some rules left out.
    """
    given = {**given, **dict.fromkeys(repaired_at, DONE)}
    deduction = deduce(given, ())
    over = [
        rule.id
        for rule in kb.facts.values()
        if (rule.until is not None or rule.until_repaired)
        and rule.id in deduction.fired
        and _over(rule, deduction, read_at, repaired_at, cured_at)
    ]
    return deduce(given, over) if over else deduction


def _over(
    rule: FactRule,
    deduction: Deduction,
    read_at: Mapping[str, int],
    repaired_at: Mapping[str, int],
    cured_at: int,
) -> bool:
    since = max(_places(rule.when.names(), deduction, read_at), default=-1)
    if since >= 0 and cured_at > since:
        return True
    if any(repaired_at.get(repair, -1) > since for repair in rule.until_repaired):
        return True
    if rule.until is None or rule.until.holds(deduction.facts) is not True:
        return False
    return max((read_at.get(name, -1) for name in rule.until.names()), default=-1) > since


def _places(names: frozenset[str], deduction: Deduction, read_at: Mapping[str, int]) -> list[int]:
    """Places of the readings that these names are, or were derived from."""
    grounds = {derived.name: derived.grounds for derived in deduction.trace}
    seen: set[str] = set()
    left = list(names)
    while left:
        name = left.pop()
        if name not in seen:
            seen.add(name)
            left += grounds.get(name, ())
    return [read_at[name] for name in seen if name in read_at]
