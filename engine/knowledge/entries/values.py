"""Small values that the fields of records hold."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from crankpath.engine.knowledge.formula import Formula

Quantity = float | Formula
"""A number, or a formula over facts that yields one."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an entry stands: file (relative to its folder), line and column from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Selector:
    """Which faults or measurements an entry speaks of: ids, or every one of a kind."""

    ids: tuple[str, ...]
    kinds: tuple[str, ...]

    def matches(self, name: str, kinds: Iterable[str]) -> bool:
        """True for an entry of this name and these kinds."""
        return name in self.ids or not set(self.kinds).isdisjoint(kinds)
