"""Forward chaining: from equipment, readings and other facts to what follows from them.

Every round starts from what was given and applies every rule to the facts of the round
before, until nothing changes; so ``unless`` works without an order among rules, and the
order of readings cannot matter. Every derived fact remembers its rule and its grounds.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.condition import Facts, FactValue
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import FactRule, Knowledge


@dataclass(frozen=True, slots=True)
class Derived:
    """A fact, the rule that gave it, and the names the rule looked at."""

    name: str
    value: FactValue
    rule: str
    grounds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Remark:
    """Something a rule says about this machine now: a caution or a warning."""

    rule: str
    text: str  # caution id, or the warning's sentence


@dataclass(frozen=True, slots=True)
class Deduction:
    """The facts at the fixed point of the rules.

    Attributes:
        facts: everything known, with the band of every reading.
        trace: derived facts in the order in which they were found.
        cautions: caution ids that apply, each once.
        warnings: sentences for the person, each once.
        distrusted, pointless, unsafe: measurement id -> id of the rule that says so.
        fired: ids of the rules that hold.
        silent: ids of rules that were left out, because what they said is over.
    """

    facts: Facts
    trace: tuple[Derived, ...]
    cautions: tuple[Remark, ...]
    warnings: tuple[Remark, ...]
    distrusted: Mapping[str, str]
    pointless: Mapping[str, str]
    unsafe: Mapping[str, str]
    fired: frozenset[str]
    silent: frozenset[str] = frozenset()


Banding = Callable[[str, FactValue, Facts], str | None]
"""(measurement, value, facts) -> the band it falls in, or None."""


def deduce(
    kb: Knowledge, given: Mapping[str, FactValue], banding: Banding, silent: Collection[str] = ()
) -> Deduction:
    """Apply the fact rules to a fixed point.

    Args:
        kb: whose fact rules are applied.
        given: equipment and readings by name (readings in their unit).
        banding: how a reading's band is found, given the facts so far.
        silent: ids of rules to be left out.

    Raises:
        KnowledgeError: the rules never settle; the message names those that keep changing.
    """
    rules = tuple(rule for rule in kb.facts.values() if rule.id not in silent)
    readings = [name for name in given if name in kb.measurements]
    facts = Facts(dict(given), {})
    trace: tuple[Derived, ...] = ()
    earlier = trace
    for _ in range(len(kb.facts) + 3):
        bands = _bands(readings, given, facts, banding)
        before = Facts(facts.values, bands)
        fired = [rule for rule in rules if fires(rule, before)]
        earlier, trace = trace, _round(fired, given, before)
        after = Facts({**given, **{d.name: d.value for d in trace}}, bands)
        if after == facts:
            return _conclude(kb, fired, after, trace, frozenset(silent))
        facts = after
    raise KnowledgeError(_never_settles(kb, set(earlier) ^ set(trace)))


def _bands(
    readings: list[str], given: Mapping[str, FactValue], facts: Facts, banding: Banding
) -> dict[str, str]:
    found = {name: banding(name, given[name], facts) for name in readings}
    return {name: band for name, band in found.items() if band is not None}


def fires(rule: FactRule, facts: Facts) -> bool:
    """True if the rule's ``when`` is known to hold and its ``unless`` is not."""
    return rule.when.holds(facts) is True and (rule.unless is None or rule.unless.holds(facts) is not True)


def _round(fired: list[FactRule], given: Mapping[str, FactValue], facts: Facts) -> tuple[Derived, ...]:
    found: dict[str, Derived] = {}
    for rule in fired:
        grounds = tuple(sorted(rule.when.names())) if rule.then else ()
        for name, conclusion in rule.then.items():
            if name in found or name in given:
                continue  # what was given, or said by an earlier rule, stands
            value = conclusion.value(facts.values) if isinstance(conclusion, Formula) else conclusion
            if value is not None:
                found[name] = Derived(name, value, rule.id, grounds)
    return tuple(found.values())


def _conclude(
    kb: Knowledge, fired: list[FactRule], facts: Facts, trace: tuple[Derived, ...], silent: frozenset[str]
) -> Deduction:
    cautions: dict[str, Remark] = {}
    warnings: dict[str, Remark] = {}
    distrusted: dict[str, str] = {}
    pointless: dict[str, str] = {}
    unsafe: dict[str, str] = {}
    for rule in fired:
        for caution in rule.caution:
            cautions.setdefault(caution, Remark(rule.id, caution))
        if rule.warn:
            warnings.setdefault(rule.warn, Remark(rule.id, rule.warn))
        for name in rule.distrust:
            if name in facts.bands:
                distrusted.setdefault(name, rule.id)
        for selector, where in ((rule.pointless, pointless), (rule.unsafe, unsafe)):
            if selector is not None:
                for measurement in kb.measurements.values():
                    if selector.matches(measurement.id, measurement.kinds):
                        where.setdefault(measurement.id, rule.id)
    return Deduction(
        facts, trace, tuple(cautions.values()), tuple(warnings.values()), distrusted, pointless, unsafe,
        frozenset(rule.id for rule in fired), silent,
    )  # fmt: skip


def _never_settles(kb: Knowledge, changing: set[Derived]) -> str:
    rules = sorted({d.rule for d in changing})
    where = ", ".join(f"{rule} ({kb.facts[rule].origin})" for rule in rules)
    return (
        f"These fact rules never settle, each undoing another: {where}. Take one of them out of the circle."
    )
