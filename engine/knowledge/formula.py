"""Arithmetic over facts, written in the knowledge base as ``{formula: "a / b"}``.

Numbers, fact names, ``+ - * /``, parentheses, ``min(...)``, ``max(...)`` and the circuit
computations of `crankpath.engine.physics` that are named in `FUNCTIONS` are all there is;
anything else is refused when the knowledge base is loaded. Nothing is ever executed.
"""

from __future__ import annotations

import ast
import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache, partial
from math import isfinite
from typing import Final

from crankpath.engine.knowledge.condition import FactValue

FUNCTIONS: Final[dict[str, Callable[..., float]]] = {"min": min, "max": max}

_OPERATIONS: Final[dict[type[ast.operator], Callable[[float, float], float]]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
}  # fmt: skip

_LONGEST: Final = 400
_DEEPEST: Final = 50  # so that neither reading nor working out can run out of stack


class FormulaError(ValueError):
    """The text is no formula of ours; the message says which part and why."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A parsed formula; equal texts are equal formulas.

    >>> Formula.parse("drop / amps * 1000").value({"drop": 0.4, "amps": 200})
    2.0
    >>> Formula.parse("drop / amps").value({"drop": 0.4}) is None
    True
    """

    text: str
    _tree: ast.expr = field(compare=False, repr=False)

    @classmethod
    def parse(cls, text: str) -> Formula:
        """Parse, or raise `FormulaError` naming the part that is not allowed."""
        if len(text) > _LONGEST:
            raise FormulaError(f"the formula is longer than {_LONGEST} characters")
        try:
            tree = ast.parse(text.strip(), mode="eval").body
        except (SyntaxError, ValueError, RecursionError, MemoryError) as slip:
            raise FormulaError(f"{text!r} is not arithmetic") from slip
        _admit(tree, _DEEPEST)
        return cls(text, tree)

    def names(self) -> frozenset[str]:
        """The fact names it reads."""
        return _names(self)

    def value(self, facts: Mapping[str, FactValue]) -> float | None:
        """The number, or None if a name is unknown or not a number, or the result is not finite."""
        try:
            number = _work(self)(facts)
        except (_Unknown, ZeroDivisionError, OverflowError, ValueError):
            return None
        return number if isfinite(number) else None


@lru_cache(4096)
def _names(formula: Formula) -> frozenset[str]:
    tree = formula._tree
    called = {id(n.func) for n in ast.walk(tree) if isinstance(n, ast.Call)}
    return frozenset(n.id for n in ast.walk(tree) if isinstance(n, ast.Name) and id(n) not in called)


@lru_cache(4096)
def _work(formula: Formula) -> Callable[[Mapping[str, FactValue]], float]:
    return _worker(formula._tree)


@lru_cache(maxsize=2000)
def parsed(text: str) -> tuple[Formula, frozenset[str]]:
    """A formula and its names; a knowledge base writes few formulas many times.

    Raises:
        FormulaError: the part that is not allowed, and why.
    """
    formula = Formula.parse(text)
    return formula, formula.names()


class _Unknown(Exception):
    pass


def _admit(node: ast.expr, deeper: int) -> None:
    if deeper == 0:
        raise FormulaError(f"the formula nests deeper than {_DEEPEST} levels")
    match node:
        case ast.Constant(value=bool()):
            raise FormulaError("true and false cannot be calculated with")
        case ast.Name(id=name) if name in FUNCTIONS:
            raise FormulaError(f"'{name}' is a function; write {name}(a, b)")
        case ast.Constant(value=int() | float()) | ast.Name():
            return
        case ast.BinOp(op=ast.Add() | ast.Sub() | ast.Mult() | ast.Div()):
            _admit(node.left, deeper - 1)
            _admit(node.right, deeper - 1)
        case ast.UnaryOp(op=ast.USub()):
            _admit(node.operand, deeper - 1)
        case ast.Call(func=ast.Name(id=name), keywords=[]) if name in FUNCTIONS:
            if name in ("min", "max") and len(node.args) < 2:
                raise FormulaError(f"'{name}' needs two numbers or more; write {name}(a, b)")
            for argument in node.args:
                _admit(argument, deeper - 1)
        case ast.Call(func=ast.Name(id=name)) if name not in FUNCTIONS:
            raise FormulaError(f"'{name}' is no function here; there are {', '.join(sorted(FUNCTIONS))}")
        case _:
            raise FormulaError(f"{_as_written(node)} is not allowed; use + - * / and names of facts")


def _as_written(node: ast.expr) -> str:
    try:
        return f"'{ast.unparse(node)}'"
    except RecursionError:
        return "something nested this deep"


def _worker(node: ast.expr) -> Callable[[Mapping[str, FactValue]], float]:
    """What works a part out of the facts; raises `_Unknown` there."""
    match node:
        case ast.Constant(value=int() | float() as constant):
            number = float(constant)
            return lambda facts: number
        case ast.Name(id=name):
            return partial(_known, name)
        case ast.UnaryOp(operand=operand):
            inner = _worker(operand)
            return lambda facts: -inner(facts)
        case ast.BinOp(left=left, op=op, right=right):
            one, other, both = _worker(left), _worker(right), _OPERATIONS[type(op)]
            return lambda facts: both(one(facts), other(facts))
        case ast.Call(func=ast.Name(id=name), args=args):
            parts, function = [_worker(part) for part in args], FUNCTIONS[name]
            return lambda facts: float(function(*[part(facts) for part in parts]))
    raise FormulaError(f"{_as_written(node)} is not allowed")


def _known(name: str, facts: Mapping[str, FactValue]) -> float:
    value = facts.get(name)
    if value is None or isinstance(value, (str, bool)):
        raise _Unknown(name)
    return float(value)
