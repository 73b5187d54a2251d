"""Fact rules that say nothing, contradict each other, or rest on nothing but themselves.

What: a rule without a consequence; a rule that derives a property of the machine, which only a person
can tell; two rules that hold together and derive opposite values; rules whose grounds are derived by
nobody but each other, or that keep each other up once started; a word or a truth value that is derived
and asked for nowhere.

Why: what contradicts itself is decided by the order of the files; what rests on itself never begins or
never ends; a fact that nobody asks for looks like a safeguard and is none.

Bad::

    thick_oil: {when: {deep_cold: true}, then: {deep_cold: true}, ...}     # and nothing else derives it

Good::

    thick_oil: {when: {air_temperature: {below: -20}}, then: {deep_cold: true}, ...}
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator, Mapping, Sequence
from itertools import combinations

from crankpath.engine.checking.circles import circles
from crankpath.engine.checking.entry_problems import problem, told_facts
from crankpath.engine.checking.placed_conditions import placed_conditions
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.condition import All, Any, Condition, FactValue, Known, NoneOf
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import FactRule, Knowledge


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each rule, of the first sort that is found."""
    told: set[str] = set()
    waiting = _waiting(survey.kb)
    for found in (*_empty(survey.kb), *_overwriting(survey.kb), *_ungrounded(*waiting),
                  *_circles(survey.kb, waiting[0]), *_opposite(survey), *_unused(survey)):  # fmt: skip
        if found.entry not in told:
            told.add(found.entry)
            yield found


def _at(rule: FactRule, message: str, advice: str, *path: str) -> Problem:
    return problem(f"facts/{rule.id}", rule.origin, f"fact rule {rule.id} {message}", advice, *path)


def _empty(kb: Knowledge) -> Iterator[Problem]:
    for rule in kb.facts.values():
        if (rule.until or rule.until_repaired) and not (rule.then or rule.unsafe):
            field = "until" if rule.until else "until_repaired"
            message = f"says with '{field}' when it ends, and forbids nothing until then"
            yield _at(rule, message, f"Add the 'then' that holds until then, or take '{field}' out", field)
        if not (rule.then or rule.caution or rule.warn or rule.distrust or rule.pointless or rule.unsafe):
            yield _at(
                rule,
                "has no consequence",
                "Add 'warn', 'then', 'caution', 'distrust', 'pointless' or 'unsafe'",
            )


def _overwriting(kb: Knowledge) -> Iterator[Problem]:
    for rule in kb.facts.values():
        for name in rule.then:
            if name in kb.equipment or name in kb.measurements:
                what = "a property of the machine" if name in kb.equipment else "a reading"
                message = f"derives {name}, which is {what} that only a person tells"
                yield _at(rule, message, "Derive a name of its own, and ask for that", "then", name)


def _opposite(survey: Survey) -> Iterator[Problem]:
    by_name: dict[str, list[tuple[FactRule, FactValue]]] = {}
    for rule in survey.kb.facts.values():
        for name, value in rule.then.items():
            if not isinstance(value, Formula):
                by_name.setdefault(name, []).append((rule, value))
    for name, rules in by_name.items():
        counted = Counter(str(value) for _, value in rules)
        facts = {
            (one.id, other.id): told
            for (one, a), (other, b) in combinations(rules, 2)
            if a != b and (told := _both(survey, one, other)) is not None
        }
        clashes = Counter(id_ for pair in facts for id_ in pair)
        told_of: set[str] = set()
        for (one, a), (other, b) in combinations(rules, 2):
            if (one.id, other.id) not in facts or {one.id, other.id} & told_of:
                continue
            # the odd one: what clashes with most, then what fewer rules derive, what denies, what came later
            pairs = ((one, a), (other, b))
            rule, value = max(pairs, key=lambda p: (clashes[p[0].id], -counted[str(p[1])], p[1] is False,
                                                    p[0].origin.line))  # fmt: skip
            against, instead = pairs[1] if rule is one else pairs[0]
            told_of.add(rule.id)
            message = (f"makes {name} {str(value).lower()} where {against.id} ({against.origin}) makes it "
                       f"{str(instead).lower()}{facts[one.id, other.id]}")  # fmt: skip
            yield _at(rule, message, "Add 'unless' to one of them, or correct the value", "then", name)


def _both(survey: Survey, one: FactRule, other: FactRule) -> str | None:
    """Facts, in words, under which both rules hold; None if there are none or they are too many to try."""
    wanted, stopping = (one.when, other.when), [c for c in (one.unless, other.unless) if c is not None]
    names = {n for c in (*wanted, *stopping) for n in c.names()}
    for facts in survey.domain.grid(names) or ():
        if all(c.holds(facts) is True for c in wanted) and not any(c.holds(facts) is True for c in stopping):
            return told_facts(facts, names)
    return None


def _needed(condition: Condition) -> list[frozenset[str]]:
    """What must be known for it to hold: of each set, one name at least."""
    match condition:
        case All(parts=parts):
            return [names for part in parts for names in _needed(part)]
        case Any(parts=parts):
            return (
                [frozenset().union(*(names for part in parts for names in _needed(part)))]
                if all(map(_needed, parts))
                else []
            )
        case NoneOf() | Known(wanted=False):
            return []
        case _:
            return [condition.names()]


def _grounds(rule: FactRule) -> list[frozenset[str]]:
    formulas = [value.names() for value in rule.then.values() if isinstance(value, Formula)]
    return [*_needed(rule.when), *(frozenset((name,)) for names in formulas for name in names)]


def _waiting(kb: Knowledge) -> tuple[dict[str, FactRule], set[str]]:
    """The rules that can never begin, and all names that can be known."""
    asked = {name for rule in kb.facts.values() for names in _grounds(rule) for name in names}
    known = asked - {name for rule in kb.facts.values() for name in rule.then}
    waiting = dict(kb.facts)
    while begun := [r for r in waiting.values() if all(names & known for names in _grounds(r))]:
        for rule in begun:
            known.update(rule.then)
            del waiting[rule.id]
    return waiting, known


def _ungrounded(waiting: Mapping[str, FactRule], known: Container[str]) -> Iterator[Problem]:
    """The first rule that can never begin, at the name that it waits for."""
    for rule in waiting.values():
        missing = next(names for names in _grounds(rule) if not any(name in known for name in names))
        name = min(missing)
        others = ", ".join(r.id for r in waiting.values() if name in r.then)
        message = f"never begins: {name} follows from nothing but {others or 'itself'}"
        yield _at(rule, message, f"Give {name} a ground: equipment or a reading", "when", name)
        return  # the others wait for this one


def _circles(kb: Knowledge, waiting: Container[str]) -> Iterator[Problem]:
    """Rules that keep each other up once begun: what each needs, the other derives."""
    makers: Mapping[str, Sequence[FactRule]] = {
        name: [r for r in kb.facts.values() if name in r.then]
        for rule in kb.facts.values()
        for name in rule.then
    }
    following: dict[str, set[str]] = {}
    for rule in kb.facts.values():
        for names in _grounds(rule):
            for name in names:
                for maker in makers.get(name, ()):
                    following.setdefault(maker.id, set()).add(rule.id)
    for members in circles(following):
        rules = [kb.facts[name] for name in members if name not in waiting]
        if not rules:
            continue
        # the one that closes the circle derives what has a ground outside it as well
        closing = [
            r for r in rules if any(m.id not in members for name in r.then for m in makers[name])
        ] or rules
        last = max(closing, key=lambda r: (r.origin.file, r.origin.line))
        field = "when" if len(rules) == 1 else "then"
        name = next(n for n in last.then if any(n in names for r in rules for names in _grounds(r)))
        message = f"derives {name} from what follows from {name}: once started, it keeps itself up"
        yield _at(
            last, message, "Take that line out, or ground it on equipment or a reading", field, name
        )


def _unused(survey: Survey) -> Iterator[Problem]:
    kb = survey.kb
    used = {name for placed in placed_conditions(kb) for name in placed.condition.names()}
    used.update(name for hazard in kb.hazards.values() for name in hazard.forbidden_by)
    used.update(name for repair in kb.repairs.values() if repair.needs for name in repair.needs.names())
    used.update(name for rule in kb.facts.values() if rule.until for name in rule.until.names())
    used.update(name for caution in kb.cautions.values() if caution.only for name in caution.only.names())
    for rule in kb.facts.values():
        for name, value in rule.then.items():
            if name not in used and f"facts/{rule.id}" in survey.own and isinstance(value, bool | str):
                yield _at(
                    rule,
                    f"derives {name}, which nothing asks for",
                    "Ask for it in a condition, or take it out",
                    "then",
                    name,
                )
