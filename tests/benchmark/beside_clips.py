"""The same facts by CLIPS, a rule engine in C, from the same fact rules.

A rule becomes ``(defrule ...)``: its conditions patterns on facts and bands, its
conclusions assertions, in the order in which the knowledge base has them. Rules whose
conclusions need the circuit computations stay out on both sides. Bands are given to both.
"""

from __future__ import annotations

import ast
from dataclasses import dataclass, replace
from importlib import import_module
from importlib.util import find_spec
from statistics import median
from typing import Any

from bench_timing import spent

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.condition import All, Compares, Condition, FactValue, Is, Known, NoneOf
from crankpath.engine.knowledge.condition import Any as AnyOf
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import FactRule, Knowledge
from crankpath.engine.machine.facts import deduce

_OPERATORS: dict[type[ast.operator], str] = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
_RELATIONS = {"above": ">", "below": "<", "at_least": ">=", "at_most": "<="}
_TEMPLATES = ("(deftemplate fact (slot name) (slot value))", "(deftemplate band (slot name) (slot value))")


@dataclass(frozen=True, slots=True)
class Chained:
    """Milliseconds of processor time for deriving facts, here and there, and whether they agree."""

    rules: int
    left_out: int
    facts: int
    ours: float
    theirs: float
    agree: bool


def installed() -> bool:
    """True if the Python binding of CLIPS is there."""
    return find_spec("clips") is not None


def chained(case: Case, runs: int = 25) -> Chained:
    """Derive the facts of a case with both, several times."""
    kb, facts = case.kb, case.assessment.now.facts
    conclude = {rule.id: rule for rule in kb.facts.values() if rule.then}
    rules = {name: rule for name, rule in conclude.items() if _arithmetic(rule)}
    plain = replace(kb, facts=rules)
    derived = {d.name for d in case.assessment.now.trace}
    given = {name: value for name, value in facts.values.items() if name not in derived}
    engine = _engine(rules)
    theirs = median(spent(lambda: _run(engine, given, facts.bands)) for _ in range(runs))
    found = {str(fact["name"]): fact["value"] for fact in engine.find_template("fact").facts()}
    ours = median(spent(lambda: _deduce(plain, given, facts.bands)) for _ in range(runs))
    wanted = _deduce(plain, given, facts.bands)
    agree = found.keys() == wanted.keys() and all(_alike(found[name], wanted[name]) for name in wanted)
    return Chained(len(rules), len(conclude) - len(rules), len(wanted), ours, theirs, agree)


def _deduce(kb: Knowledge, given: dict[str, FactValue], bands: Any) -> dict[str, FactValue]:
    return dict(deduce(kb, given, lambda name, _, __: bands.get(name)).facts.values)


def _engine(rules: dict[str, FactRule]) -> Any:
    engine = import_module("clips").Environment()
    for template in _TEMPLATES:
        engine.build(template)
    for turn, rule in enumerate(rules.values()):
        engine.build(_defrule(rule, len(rules) - turn))
    return engine


def _run(engine: Any, given: dict[str, FactValue], bands: Any) -> None:
    engine.reset()
    for template, entries in (("fact", given), ("band", bands)):
        for name, value in entries.items():
            engine.assert_string(f"({template} (name {name}) (value {_written(value)}))")
    engine.run()


def _alike(theirs: Any, ours: FactValue) -> bool:
    if isinstance(ours, bool):
        return str(theirs) == _written(ours)
    if isinstance(ours, (int, float)):
        return isinstance(theirs, (int, float)) and abs(theirs - ours) <= 1e-9 * max(abs(ours), 1.0)
    return str(theirs) == ours


def _written(value: object) -> str:
    return f"{value}".lower() if isinstance(value, bool) else f"{value}"


def _defrule(rule: FactRule, salience: int) -> str:
    unless = "" if rule.unless is None else f" (not {_pattern(rule.unless)})"
    needed = sorted({name for f in rule.then.values() if isinstance(f, Formula) for name in f.names()})
    bound = "".join(f" (fact (name {name}) (value ?{name}&:(numberp ?{name})))" for name in needed)
    actions = " ".join(_assertion(name, value) for name, value in rule.then.items())
    left = f"(logical {_pattern(rule.when)}{unless}{bound})"
    return f"(defrule {rule.id} (declare (salience {min(salience, 9999)})) {left} => {actions})"


def _assertion(name: str, value: object) -> str:
    written = _prefix(_tree(value)) if isinstance(value, Formula) else _written(value)
    return (
        f"(if (not (any-factp ((?f fact)) (eq ?f:name {name})))"
        f" then (assert (fact (name {name}) (value {written}))))"
    )


def _pattern(condition: Condition) -> str:
    match condition:
        case Is(name=name, expected=expected):
            values = "|".join(map(_written, expected))
            return f"(or (band (name {name}) (value {values})) (fact (name {name}) (value {values})))"
        case Compares(name=name, relation=relation, bound=bound):
            test = f"(and (numberp ?v) ({_RELATIONS[relation]} ?v {bound}))"
            return f"(exists (fact (name {name}) (value ?v&:{test})))"
        case Known(name=name, wanted=wanted):
            known = f"(or (fact (name {name})) (band (name {name})))"
            return known if wanted else f"(not {known})"
        case All(parts=parts):
            return f"(and {' '.join(map(_pattern, parts))})"
        case AnyOf(parts=parts):
            return f"(or {' '.join(map(_pattern, parts))})"
        case NoneOf(parts=parts):
            return f"(and {' '.join(f'(not {_pattern(part)})' for part in parts)})"
    raise TypeError(f"{condition} cannot be written for the rule engine")


def _arithmetic(rule: FactRule) -> bool:
    """True if its formulas are made of + - * / alone."""
    formulas = [value for value in rule.then.values() if isinstance(value, Formula)]
    return not any(isinstance(node, ast.Call) for formula in formulas for node in ast.walk(_tree(formula)))


def _tree(formula: Formula) -> ast.expr:
    return ast.parse(formula.text.strip(), mode="eval").body


def _prefix(node: ast.expr) -> str:
    match node:
        case ast.Constant(value=int() | float() as number):
            return f"{float(number)}"
        case ast.Name(id=name):
            return f"?{name}"
        case ast.UnaryOp(operand=operand):
            return f"(- 0 {_prefix(operand)})"
        case ast.BinOp(left=left, op=op, right=right):
            return f"({_OPERATORS[type(op)]} {_prefix(left)} {_prefix(right)})"
    raise TypeError(ast.dump(node))
