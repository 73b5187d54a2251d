"""What each name of a condition can be: the values worth trying, so that impossible conditions show.

A number has infinitely many values; those that any condition of the knowledge base can tell
apart are enough: its bounds, the middles between them, and its least and most. Readings are
tried band by band. Names are tried independently of each other, so what is called impossible
here is impossible; what is possible here may still be so on no real machine.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from functools import cached_property
from itertools import pairwise, product
from math import prod
from typing import Final

from crankpath.engine.checking.placed_conditions import atoms, placed_conditions
from crankpath.engine.knowledge.building.known_names import DONE
from crankpath.engine.knowledge.condition import Compares, Condition, Facts, FactValue
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import EquipmentFact, Knowledge, Measurement

LARGEST_GRID: Final = 20_000
"""Combinations that are tried for one question; beyond it nothing is called impossible."""
_MAGNITUDES: Final = (0.001, 0.1, 1.0, 10.0, 1000.0)  # of a number that nothing bounds

Known = tuple[FactValue | None, str | None]
"""A value and a band; None for either that is not known."""
_UNKNOWN: Final[Known] = (None, None)


class Domain:
    """The values worth trying for each name of a knowledge base."""

    def __init__(self, kb: Knowledge) -> None:
        self._kb = kb
        self._known: dict[str, tuple[Known, ...]] = {}
        self._differing: dict[tuple[str, tuple[Condition, ...]], tuple[Known, ...]] = {}

    def values(self, name: str) -> tuple[Known, ...]:
        """Everything the name can be, *unknown* included if it can be that."""
        if name not in self._known:
            self._known[name] = self._values(name)
        return self._known[name]

    def grid(self, names: Iterable[str], bare: Collection[str] = ()) -> Iterator[Facts] | None:
        """All combinations of the values of some names; None if there are too many to try.

        Args:
            names: the names.
            bare: names of readings whose band does not matter, only whether and what they are.
        """
        ordered = sorted(set(names))
        columns = [self._without_bands(name) if name in bare else self.values(name) for name in ordered]
        return _product(ordered, columns)

    def told_apart(self, conditions: Iterable[Condition]) -> Iterator[Facts] | None:
        """All combinations that some conditions answer differently, of each the first; None as in `grid`."""
        about: dict[str, dict[Condition, None]] = {}
        for atom in (atom for condition in conditions for atom in atoms(condition)):
            for name in atom.names():
                about.setdefault(name, {})[atom] = None
        ordered = sorted(about)
        return _product(ordered, [self._different(name, tuple(about[name])) for name in ordered])

    def _different(self, name: str, told: tuple[Condition, ...]) -> tuple[Known, ...]:
        """Those values of a name that some conditions about it alone answer differently."""
        key = (name, told)
        if key not in self._differing:
            first: dict[tuple[bool | None, ...], Known] = {}
            for known in self.values(name):
                facts = _facts([name], (known,))
                first.setdefault(tuple([atom.holds(facts) for atom in told]), known)
            self._differing[key] = tuple(first.values())
        return self._differing[key]

    def _without_bands(self, name: str) -> tuple[Known, ...]:
        return tuple(dict.fromkeys((value, None) for value, _ in self.values(name)))

    def _values(self, name: str) -> tuple[Known, ...]:
        kb = self._kb
        if name in kb.equipment:
            return self._equipment(kb.equipment[name])
        if name in kb.measurements:
            return (*self._reading(kb.measurements[name]), _UNKNOWN)
        if name in kb.repairs:
            return ((DONE, None), _UNKNOWN)
        constants = self._derived.get(name, ())
        words = tuple((value, None) for value in constants if not isinstance(value, Formula))
        numeric = name not in self._derived or any(isinstance(value, Formula) for value in constants)
        return (*words, *((n, None) for n in self._numbers(name, None, None) if numeric), _UNKNOWN)

    def _equipment(self, fact: EquipmentFact) -> tuple[Known, ...]:
        values: tuple[FactValue, ...] = fact.values or self._numbers(fact.id, fact.least, fact.most)
        known = tuple((value, None) for value in values)
        return known if fact.default is not None else (*known, _UNKNOWN)

    def _reading(self, measurement: Measurement) -> tuple[Known, ...]:
        if not measurement.numeric:
            return tuple((value, measurement.finer.get(value, value)) for value in measurement.choices)
        numbers = self._numbers(measurement.id, _number(measurement.least), _number(measurement.most))
        return tuple((number, band) for band in measurement.bands for number in numbers)

    def _numbers(self, name: str, least: float | None, most: float | None) -> tuple[float, ...]:
        ends = {end for end in (least, most) if end is not None}
        bounds = sorted(self._bounds.get(name, set()) | ends)
        if not bounds:
            return _MAGNITUDES
        middles = {(low + high) / 2 for low, high in pairwise(bounds)}
        span = max(bounds[-1] - bounds[0], abs(bounds[0]), 1.0)
        outside = {bounds[0] - span, bounds[-1] + span}
        tried = {*bounds, *middles, *outside}
        return tuple(
            sorted(n for n in tried if (least is None or n >= least) and (most is None or n <= most))
        )

    @cached_property
    def _bounds(self) -> dict[str, set[float]]:
        found: dict[str, set[float]] = {}
        for placed in placed_conditions(self._kb):
            for atom in atoms(placed.condition):
                if isinstance(atom, Compares):
                    found.setdefault(atom.name, set()).add(atom.bound)
        return found

    @cached_property
    def _derived(self) -> dict[str, tuple[FactValue | Formula, ...]]:
        found: dict[str, list[FactValue | Formula]] = {}
        for rule in self._kb.facts.values():
            for name, value in rule.then.items():
                if value not in found.setdefault(name, []):
                    found[name].append(value)
        return {name: tuple(values) for name, values in found.items()}


def _number(quantity: object) -> float | None:
    return quantity if isinstance(quantity, float) else None


def _product(names: list[str], columns: list[tuple[Known, ...]]) -> Iterator[Facts] | None:
    if prod(map(len, columns)) > LARGEST_GRID:
        return None
    return (_facts(names, row) for row in product(*columns))


def _facts(names: list[str], row: tuple[Known, ...]) -> Facts:
    values = {name: value for name, (value, _) in zip(names, row, strict=True) if value is not None}
    bands = {name: band for name, (_, band) in zip(names, row, strict=True) if band is not None}
    return Facts(values, bands)
