"""Which rule speaks of a fault and a reading on one machine: the narrowest whose conditions hold."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import takewhile
from operator import itemgetter

from crankpath.engine.bayes.hypotheses import Element
from crankpath.engine.knowledge.condition import All, Condition, Facts, FactValue, Is
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import EvidenceRule, Fault, Measurement, Range, Selector


@dataclass(frozen=True, eq=False)
class RuleChoice:
    """The rules of a knowledge base as they bear on one machine.

    Attributes:
        rules: every rule of the knowledge base.
        faults: the faults this machine can have, by id.
        measurements: the readings that exist on it, by id.
        elements: its faults, degree by degree; an element is named by its index.
        covers: whether the place of an element lies between the leads of a reading.
    """

    rules: Sequence[EvidenceRule]
    faults: Mapping[str, Fault]
    measurements: Mapping[str, Measurement]
    elements: Sequence[Element]
    covers: Callable[[str, int], bool]

    def of(self, measurement: str) -> Mapping[int, tuple[EvidenceRule, ...]]:
        """Element -> the rules that speak of it there, most specific first, conditions not looked at."""
        return self._ranked[measurement]

    def in_force(
        self, measurement: str, facts: Facts, elements: Container[int] | None = None
    ) -> Iterator[tuple[int, Iterator[EvidenceRule]]]:
        """Every element that rules speak of, with those whose conditions hold, most specific first.

        elements: only these; all by default.
        """
        known: dict[str, bool] = {}

        def hold(rule: EvidenceRule) -> bool:
            if rule.id not in known:
                given, unless = rule.given, rule.unless
                known[rule.id] = (given is None or given.holds(facts) is True) and (
                    unless is None or unless.holds(facts) is not True
                )
            return known[rule.id]

        for index, rules in self.of(measurement).items():
            if elements is None or index in elements:
                yield index, filter(hold, rules)

    def may_be_narrowed(self, rule: EvidenceRule, fault: str) -> bool:
        """Could a copy of the rule about this fault alone stand beside it, in the place of no other rule?"""
        for name, by_element in self._ranked.items():
            narrow = 4 | _named(rule, fault, name), _conditions(rule)
            for index in self._elements_of.get(fault, ()):
                ranked = by_element.get(index, ())
                above = list(takewhile(lambda one: one is not rule, ranked))
                for other in above if len(above) < len(ranked) else ():
                    rank = _named(other, fault, name), _conditions(other)
                    if rank <= narrow and not _apart(rule, other):
                        return False
        return True

    @cached_property
    def conditions(self) -> dict[str, tuple[Condition, ...]]:
        """measurement -> the conditions that decide which rule and which healthy reading hold."""
        found: dict[str, tuple[Condition, ...]] = {}
        for measurement in self.measurements.values():
            seen: dict[int, Condition] = {}
            for rules in self.of(measurement.id).values():
                for rule in rules:
                    for condition in (rule.given, rule.unless):
                        if condition is not None:
                            seen[id(condition)] = condition
            given = [reading.given for reading in measurement.healthy]
            given += [reading.given for reading in measurement.whole]
            seen |= {id(condition): condition for condition in given if condition is not None}
            found[measurement.id] = tuple(seen.values())
        return found

    @cached_property
    def quantities(self) -> dict[str, tuple[str, ...]]:
        """measurement -> the facts that its quantities depend on: its ranges and its limits."""
        found = {}
        for name, measurement in self.measurements.items():
            rules = {id(rule): rule for rules in self.of(name).values() for rule in rules}
            ranges = [h.reads for h in measurement.healthy] + [r.reads for r in rules.values()]
            ranges += [whole.reads for whole in measurement.whole]
            written = [q for r in ranges if isinstance(r, Range) for q in (r.low, r.high)]
            written += [q for limits in measurement.limits for q in limits.at] + [measurement.scale]
            names = {name for q in written if isinstance(q, Formula) for name in q.names()}
            names |= {n for limits in measurement.limits if limits.given for n in limits.given.names()}
            found[name] = tuple(sorted(names))
        return found

    @cached_property
    def _ranked(self) -> dict[str, dict[int, tuple[EvidenceRule, ...]]]:
        """measurement -> element -> rules that can apply, most specific first."""
        ranked: dict[str, dict[int, list[tuple[tuple[int, int], EvidenceRule]]]] = {
            name: {} for name in self.measurements
        }
        faults, measurements = _Kinds(self.faults.values()), _Kinds(self.measurements.values())
        for rule in self.rules:
            meant = [(fault, self._of_degrees(rule, fault)) for fault in faults.chosen(rule.faults)]
            conditions = _conditions(rule)
            anywhere, across = rule.where == "any", rule.where == "across"
            for name in measurements.chosen(rule.measurements):
                by_element = ranked[name]
                for fault, indexes in meant:
                    ranking = (_named(rule, fault, name), conditions), rule
                    for index in indexes:
                        if anywhere or self.covers(name, index) is across:
                            by_element.setdefault(index, []).append(ranking)
        return {
            name: {
                index: tuple([rule for _, rule in sorted(rules, key=itemgetter(0), reverse=True)])
                for index, rules in sorted(by_element.items())
            }
            for name, by_element in ranked.items()
        }

    def _of_degrees(self, rule: EvidenceRule, fault: str) -> list[int]:
        """The elements of the fault that the rule speaks of by their degree."""
        own = self._elements_of.get(fault, [])
        return [i for i in own if self.elements[i].degree in rule.degrees] if rule.degrees else own

    @cached_property
    def _elements_of(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = {}
        for index, element in enumerate(self.elements):
            found.setdefault(element.fault, []).append(index)
        return found


class _Kinds:
    """Entries by id and by kind, for selectors."""

    def __init__(self, entries: Iterable[Fault | Measurement]) -> None:
        self._ids: set[str] = set()
        self._of_kind: dict[str, list[str]] = {}
        for entry in entries:
            self._ids.add(entry.id)
            for kind in entry.kinds:
                self._of_kind.setdefault(kind, []).append(entry.id)

    def chosen(self, selector: Selector) -> list[str]:
        """The ids a selector means, each once."""
        named = [name for name in selector.ids if name in self._ids]
        return list(
            dict.fromkeys([*named, *(n for kind in selector.kinds for n in self._of_kind.get(kind, ()))])
        )


def specificity(rule: EvidenceRule, fault: Fault, measurement: Measurement) -> tuple[int, int]:
    """How narrowly a rule speaks of a pair; the narrower one wins, a tie is a slip.

    Fault by id counts 4, a named degree 2, measurement by id 1; then conditions named.
    """
    return _named(rule, fault.id, measurement.id), _conditions(rule)


def _apart(one: EvidenceRule, other: EvidenceRule) -> bool:
    """Do the conditions of the two never hold together, by a word that one needs and the other excludes?"""
    needed = _words(one.given), _words(other.given)
    excluded = _words(one.unless), _words(other.unless)
    return (
        any(needed[0][name].isdisjoint(needed[1][name]) for name in needed[0].keys() & needed[1].keys())
        or any(words <= excluded[1].get(name, frozenset()) for name, words in needed[0].items())
        or any(words <= excluded[0].get(name, frozenset()) for name, words in needed[1].items())
    )


def _words(condition: Condition | None) -> dict[str, frozenset[FactValue]]:
    """Fact -> the words of which it must be one, where all else may be left aside."""
    if isinstance(condition, Is):
        return {condition.name: frozenset(condition.expected)}
    if isinstance(condition, All):
        return {name: words for part in condition.parts for name, words in _words(part).items()}
    return {}


def _named(rule: EvidenceRule, fault: str, measurement: str) -> int:
    return 4 * (fault in rule.faults.ids) + 2 * bool(rule.degrees) + (measurement in rule.measurements.ids)


def _conditions(rule: EvidenceRule) -> int:
    return sum(len(condition.names()) for condition in (rule.given, rule.unless) if condition is not None)
