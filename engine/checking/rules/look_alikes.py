"""Two faults with different repairs that no reading can tell apart.

What: for one degree of each, what all measurements together are expected to read is so alike
that even with every reading taken one would mistake them at least one time in five
(Bhattacharyya coefficient over all measurements, on the machine where they differ most). Only
what the machine's facts decide is looked at, not conditions on other readings.

Why: the verdict between them would be the shares alone: the commoner one is always repaired
first. Often one measurement is missing, or one rule.

Bad::

    lug_joint: {kinds: [main_resistance], places: [positive_cable], repair: renew_lug}
    positive_cable: {kinds: [main_resistance], places: [positive_cable], repair: replace_cable}

Good::

    segments: {lug_joint: {ends: [positive_cable_end, positive_lug], ...}}   # a place of its own
    measurements: {lug_drop: {between: [positive_cable_end, positive_lug], ...}}
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations
from math import exp, log, sqrt
from typing import Final

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey, apart
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Fault

MISTAKEN: Final = 0.2
"""Least chance of mistaking one for the other (equal shares, all readings) that is told."""
_LIKENESS: Final = sqrt(1 - (1 - 2 * MISTAKEN) ** 2)  # error >= (1 - sqrt(1 - BC^2)) / 2
_MOST_TOLD: Final = 3

Row = tuple[float, ...]
Rows = dict[str, Row]  # measurement -> chances of its outcomes


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each pair of faults, at the later one, with what would tell them apart."""
    alike: dict[tuple[str, str], list[tuple[str, str, float, str]]] = {}
    apart: set[tuple[str, str, str, str]] = set()
    own = {fault for fault in survey.kb.faults if f"faults/{fault}" in survey.own}
    for model in survey.machines if own else ():
        pairs = [(a, b, key) for a, b, key in _pairs(model, own) if key not in apart]
        rows = _rows(model) if pairs else []
        for a, b, key in pairs:
            one, other = model.elements[a], model.elements[b]
            likeness, best = _likeness(rows[a], rows[b])
            if likeness < _LIKENESS:
                apart.add(key)
            else:
                alike.setdefault(key[::2], []).append((one.degree, other.degree, likeness, best))
    for (a_id, b_id), found in alike.items():
        degrees = {pair[:2]: pair for pair in found}
        left = [pair for (one, other), pair in degrees.items() if (a_id, one, b_id, other) not in apart]
        if left:
            yield _problem(survey, survey.kb.faults[a_id], survey.kb.faults[b_id], left)


def _pairs(model: Model, own: Collection[str]) -> Iterator[tuple[int, int, tuple[str, str, str, str]]]:
    """The pairs of elements with different repairs, one of them of a fault named in `own`."""
    for a, b in combinations(range(len(model.elements)), 2):
        one, other = model.elements[a], model.elements[b]
        named = one.fault in own or other.fault in own
        if named and model.faults[one.fault].repair != model.faults[other.fault].repair:
            yield a, b, (one.fault, one.degree, other.fault, other.degree)


def _rows(model: Model) -> list[Rows]:
    rows: list[Rows] = [{} for _ in model.elements]
    for name in model.measurements:
        table = model.table(name, model.known)
        for index in range(len(model.elements)):
            rows[index][name] = table.outcomes_of[(index,)]
    return rows


def _likeness(a: Rows, b: Rows) -> tuple[float, str]:
    """Bhattacharyya coefficient over all measurements (0 once it is small), and the best of them."""
    far, best = 0.0, ("", 0.0)
    limit = -log(_LIKENESS)
    for name, row in a.items():
        other = b[name]
        if row is other or row == other:
            continue
        far -= log(sum(sqrt(x * y) for x, y in zip(row, other, strict=True)))
        if far > limit:
            return 0.0, ""
        best = max(best, (name, apart(row, other)), key=lambda pair: pair[1])
    return exp(-far), best[0]


def _problem(survey: Survey, a: Fault, b: Fault, found: list[tuple[str, str, float, str]]) -> Problem:
    degrees = "; ".join(f"{other} reads as {one}" for one, other, _, _ in found[:_MOST_TOLD])
    worst = max(likeness for *_, likeness, _ in found)
    mistaken = (1 - sqrt(max(0.0, 1 - worst**2))) / 2
    best = next((name for *_, name in found if name), "")
    nearest = f"; {best} differs most" if best else ""
    message = (
        f"fault {b.id} cannot be told from {a.id} ({degrees}): with every reading taken they are still "
        f"mistaken {mistaken:.0%} of the time, and their repairs differ{nearest}"
    )
    return problem(f"faults/{b.id}", b.origin, message, _advice(survey, a, b))


def _advice(survey: Survey, a: Fault, b: Fault) -> str:
    """What measurement would separate them."""
    own = [place for place in b.places if place not in a.places]
    if own and a.places:
        first, last = survey.kb.segments[own[0]].ends
        return f"Add a reading from {first} to {last}, across {own[0]} alone, or let one repair cure both"
    return f"Add a reading or look that only {b.label} changes, with its rule, or let one repair cure both"
