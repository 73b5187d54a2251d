"""A unit that does not fit.

What: a unit nobody can type; two leads on two points and a unit that no meter shows between
them; a unit unlike that of all others of the kind; formulas that add or compare volts with
amperes; sums of readings in different units. Plain numbers in a formula may carry any unit
(``0.0008 * crank_current`` is a limit in volts), so only what has no such number is judged.

Why: 310 read as volts instead of millivolts is the commonest slip there is.

Bad::

    then: {leg_resistance: {formula: "positive_leg_drop + crank_current"}}

Good::

    then: {leg_resistance: {formula: "positive_leg_drop / crank_current"}}
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from typing import Final

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.building.known_names import resistance_of
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import Problem, near
from crankpath.engine.knowledge.records import Knowledge, Measurement, Range
from crankpath.engine.typed.units import UNITS

Dimension = tuple[tuple[tuple[str, int], ...], float]
"""Base units with their powers, sorted, and the factor to them; ((), 1) is a plain ratio."""

_BETWEEN_POINTS: Final = ("V", "ohm")
_ALIKE: Final = 3  # so many others of a kind agree before one that differs is odd
_DEEPEST: Final = 5  # derived facts behind each other


class _Mismatch(Exception):
    pass


def check(survey: Survey) -> Iterator[Problem]:
    """Units of facts, measurements, formulas and balances."""
    kb = survey.kb
    for fact in kb.equipment.values():
        if fact.unit is not None and fact.unit not in UNITS:
            yield problem(f"equipment/{fact.id}", fact.origin, *_unknown(fact.id, fact.unit))
    for measurement in kb.measurements.values():
        found = list(_measurement(kb, measurement))
        for message, advice in found:
            origin = measurement.origin
            field = "between" if "two points" in message else "unit"
            yield problem(f"measurements/{measurement.id}", origin, message, advice, field)
        if not found:
            yield from _limits(kb, measurement)
    yield from _rules(survey)
    for rule in kb.facts.values():
        for name, value in rule.then.items():
            slip = _slip(kb, value, None)
            if slip:
                said = f"{rule.id}: {name} {slip}"
                yield problem(f"facts/{rule.id}", rule.origin, said, _ADVICE, "then", name)
    for balance in kb.balances.values():
        units = {name: kb.measurements[name].unit for name in (balance.whole, *balance.parts)}
        if len(set(units.values())) > 1 or None in units.values():
            told = ", ".join(f"{name} in {unit or 'words'}" for name, unit in units.items())
            message = f"balance {balance.id} adds what does not add: {told}"
            yield problem(f"balances/{balance.id}", balance.origin, message, "Use readings of one unit")


_ADVICE: Final = "Check which names the formula uses"


def _unknown(name: str, unit: str) -> tuple[str, str]:
    return f"{name}: no reading can be typed in the unit '{unit}'", near(unit, UNITS, 20)


def _measurement(kb: Knowledge, measurement: Measurement) -> Iterator[tuple[str, str]]:
    unit = measurement.unit
    if unit is None:
        return
    if unit not in UNITS:
        yield _unknown(measurement.id, unit)
        return
    if measurement.between and UNITS[unit].dimension not in _BETWEEN_POINTS:
        message = f"{measurement.id} lies between two points but is read in {unit}"
        yield message, "Between two leads a meter shows V or ohm; take 'between' out otherwise"
    before = kb.replaced.get(f"measurements/{measurement.id}")
    was = before.data.get("unit") if before is not None and isinstance(before.data, dict) else unit
    if was != unit:
        yield (f"{measurement.id} is read in {unit}, and every rule below speaks of it in {was}",
               f"Type unit: {was}, and the limits in it")  # fmt: skip
        return
    for kind in measurement.kinds:
        others = [m.unit for m in kb.measurements.values() if kind in m.kinds and m is not measurement]
        own = kb.layers.get(f"measurements/{measurement.id}", "") == (kb.folders[-1] if kb.folders else "")
        if own and len(others) >= _ALIKE and len(set(others)) == 1 and others[0] != unit:
            yield (f"{measurement.id} is read in {unit}, all others of the kind '{kind}' in {others[0]}",
                   f"Write its unit and its limits in {others[0]}, or take the kind off")  # fmt: skip
            return
    if usual := _usual_size(kb, measurement):
        yield f"{measurement.id}: its limits are far too small for {unit}", f"Type unit: {usual}"


def _usual_size(kb: Knowledge, measurement: Measurement) -> str:
    """V where mV is written with figures in V, or the like: what all others of the dimension are read in."""
    highest: dict[str, list[float]] = {}
    for m in kb.measurements.values():
        at = [q for limits in m.limits for q in limits.at[-1:] if isinstance(q, (int, float)) and q > 0]
        if at and m.unit in UNITS and UNITS[m.unit].dimension == UNITS[measurement.unit or ""].dimension:
            key = measurement.unit if m is measurement else m.unit
            highest.setdefault(key or "", []).append(max(at) * UNITS[m.unit].factor)
    own = highest.pop(measurement.unit or "", [])
    if len(own) != 1 or len(highest) != 1:
        return ""
    ((usual, others),) = highest.items()
    return usual if len(others) >= _ALIKE and own[0] * 20.0 < min(others) else ""


def _limits(kb: Knowledge, measurement: Measurement) -> Iterator[Problem]:
    entry, own = f"measurements/{measurement.id}", _unit(measurement.unit)
    if own is None:
        return
    for limits in measurement.limits:
        for quantity in limits.at:
            slip = _slip(kb, quantity, own)
            if slip:
                yield problem(entry, limits.origin, f"{measurement.id} limits: a limit {slip}", _ADVICE, "at")
    ranges = [healthy.reads for healthy in measurement.healthy] + [whole.reads for whole in measurement.whole]
    for reads in ranges:
        for slip in _range_slips(kb, reads, own):
            yield problem(entry, measurement.origin, f"{measurement.id}: an end of a range {slip}", _ADVICE)
    for field in ("least", "most", "doubtful_above"):
        slip = _slip(kb, getattr(measurement, field), own)
        if slip:
            yield problem(entry, measurement.origin, f"{measurement.id} {field} {slip}", _ADVICE, field)


def _rules(survey: Survey) -> Iterator[Problem]:
    """Formulas in the ranges of rules, in the unit of each measurement that they speak of."""
    told: set[str] = set()
    for slot in survey.slots:
        own = _unit(slot.measurement.unit)
        for rule in slot.rules:
            for slip in _range_slips(survey.kb, rule.reads, own) if rule.id not in told else ():
                told.add(rule.id)
                message = f"rule {rule.id} in {slot.measurement.id}: an end of its range {slip}"
                yield problem(f"rules/{rule.id}", rule.origin, message, _ADVICE, "reads", "between")


def _range_slips(kb: Knowledge, reads: object, own: Dimension | None) -> Iterator[str]:
    if isinstance(reads, Range) and own is not None:
        yield from filter(None, (_slip(kb, quantity, own) for quantity in (reads.low, reads.high)))


def _slip(kb: Knowledge, value: object, wanted: Dimension | None) -> str:
    """What is wrong with the units of a formula; empty if nothing can be said against it."""
    if not isinstance(value, Formula):
        return ""
    try:
        found = _of_formula(kb, value, _DEEPEST)
    except _Mismatch as slip:
        return f"(formula {value.text}) {slip}"
    if found is not None and wanted is not None and found != wanted:
        return f"(formula {value.text}) comes out in {_told(found)}, not in {_told(wanted)}"
    if found is None and wanted is not None:
        return _of_other_size(kb, value, wanted)
    return ""


def _of_other_size(kb: Knowledge, formula: Formula, wanted: Dimension) -> str:
    """Names in V where mV are wanted, or the like, with no number in the formula that makes up for it."""
    numbers = [abs(n.value) for n in ast.walk(ast.parse(formula.text.strip(), mode="eval"))
               if isinstance(n, ast.Constant) and isinstance(n.value, int | float) and n.value]  # fmt: skip
    units = {_of_name(kb, name, _DEEPEST) for name in formula.names()}
    unit = units.pop() if len(units) == 1 else None
    if unit is None or unit[0] != wanted[0] or unit[1] == wanted[1] or not numbers:
        return ""
    if any(not 0.05 <= number <= 20.0 for number in numbers):
        return ""
    return f"(formula {formula.text}) is worked out in {_told(unit)}, and the reading is in {_told(wanted)}"


def _of_formula(kb: Knowledge, formula: Formula, deeper: int) -> Dimension | None:
    return _of(ast.parse(formula.text.strip(), mode="eval").body, kb, deeper)


def _of(node: ast.expr, kb: Knowledge, deeper: int) -> Dimension | None:
    """The unit of a part of a formula; None if a plain number leaves it open."""
    match node:
        case ast.Name(id=name):
            return _of_name(kb, name, deeper)
        case ast.UnaryOp(operand=operand):
            return _of(operand, kb, deeper)
        case ast.BinOp(left=left, op=op, right=right):
            a, b = _of(left, kb, deeper), _of(right, kb, deeper)
            if isinstance(op, ast.Add | ast.Sub):
                return _agree(a, b)
            if a is None or b is None:
                return None
            return _times(a, b, 1 if isinstance(op, ast.Mult) else -1)
        case ast.Call(args=args):
            agreed: Dimension | None = None
            for argument in args:
                agreed = _agree(agreed, _of(argument, kb, deeper))
            return agreed
        case _:
            return None


def _of_name(kb: Knowledge, name: str, deeper: int) -> Dimension | None:
    if name in kb.equipment:
        return _unit(kb.equipment[name].unit)
    if name in kb.measurements:
        return _unit(kb.measurements[name].unit)
    if any(name == resistance_of(fact.id, run) for fact in kb.equipment.values() for run in fact.runs):
        return _unit("ohm")
    stated = next((rule.unit for rule in kb.facts.values() if name in rule.then and rule.unit), None)
    if stated is not None:
        return _unit(stated)
    formulas = [v for r in kb.facts.values() for n, v in r.then.items() if n == name]
    found = {_of_formula(kb, f, deeper - 1) for f in formulas if isinstance(f, Formula) and deeper}
    return found.pop() if len(found) == 1 else None


def _unit(name: str | None) -> Dimension | None:
    unit = UNITS.get(name or "")
    if unit is None or unit.offset:
        return None
    base = {"ohm": (("A", -1), ("V", 1))}.get(unit.dimension, ((unit.dimension, 1),))
    return base, unit.factor


def _agree(a: Dimension | None, b: Dimension | None) -> Dimension | None:
    if a is not None and b is not None and a != b:
        raise _Mismatch(f"puts {_told(a)} and {_told(b)} together")
    return b if a is None else a


def _times(a: Dimension, b: Dimension, power: int) -> Dimension:
    powers = dict(a[0])
    for base, exponent in b[0]:
        powers[base] = powers.get(base, 0) + power * exponent
    return tuple(sorted((k, v) for k, v in powers.items() if v)), a[1] * b[1] ** power


def _told(dimension: Dimension) -> str:
    for name, unit in UNITS.items():
        if not unit.offset and _unit(name) == dimension:
            return name
    return " ".join(f"{base}^{power}" for base, power in dimension[0]) or "a plain ratio"
