"""Conditions on facts with three answers: yes, no, unknown.

A condition is written in YAML as a mapping; every line of it must hold::

    given:
      system_voltage: 12                  # a value
      duty: [heavy]                       # one of several
      crank_behaviour: [silent]           # an observation
      start_terminal_voltage: none        # a meter reading: the band it falls in
      air_temperature: {below: 0}         # its number: above, below (at_least, at_most)
      crank_current: known                # or unknown
      any:                                # at least one of these
        - {fuel: diesel}
        - {engine_litres: {above: 6}}
      none:                               # not one of these is known to hold
        - {main_current: absent}
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

FactValue = str | int | float | bool


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known: values by name, and for readings the band each falls in."""

    values: Mapping[str, FactValue] = field(default_factory=dict)
    bands: Mapping[str, str] = field(default_factory=dict)

    def known(self, name: str) -> bool:
        """True if the name has a value or a band."""
        return name in self.values or name in self.bands


class Condition(Protocol):
    """Something that holds, does not hold, or cannot be told (None)."""

    def holds(self, facts: Facts) -> bool | None:
        """Answer yes, no or unknown for these facts."""
        ...

    def names(self) -> frozenset[str]:
        """Every fact, reading and equipment name that the answer can depend on."""
        ...


@dataclass(frozen=True, slots=True)
class Is:
    """The name's band or value is one of the given ones."""

    name: str
    expected: tuple[FactValue, ...]

    def holds(self, facts: Facts) -> bool | None:
        band = facts.bands.get(self.name)
        if band is not None and band in self.expected:
            return True
        if self.name in facts.values:
            value = facts.values[self.name]
            return value in self.expected and any(
                value == e and isinstance(value, bool) == isinstance(e, bool) for e in self.expected
            )
        return None if band is None else False

    def names(self) -> frozenset[str]:
        return frozenset((self.name,))


@dataclass(frozen=True, slots=True)
class Compares:
    """The name's number stands in a relation (above, below, at_least, at_most) to a bound."""

    name: str
    relation: str
    bound: float

    def holds(self, facts: Facts) -> bool | None:
        value = facts.values.get(self.name)
        if value is None or isinstance(value, (str, bool)):
            return None
        match self.relation:
            case "above":
                return value > self.bound
            case "below":
                return value < self.bound
            case "at_least":
                return value >= self.bound
            case _:
                return value <= self.bound

    def names(self) -> frozenset[str]:
        return frozenset((self.name,))


@dataclass(frozen=True, slots=True)
class Known:
    """The name is known (or, with ``wanted`` False, is not)."""

    name: str
    wanted: bool = True

    def holds(self, facts: Facts) -> bool | None:
        return facts.known(self.name) is self.wanted

    def names(self) -> frozenset[str]:
        return frozenset((self.name,))


@dataclass(frozen=True, slots=True)
class All:
    """Every part holds; unknown if none fails and some part is unknown."""

    parts: tuple[Condition, ...]

    def holds(self, facts: Facts) -> bool | None:
        answers = [part.holds(facts) for part in self.parts]
        if False in answers:
            return False
        return None if None in answers else True

    def names(self) -> frozenset[str]:
        return frozenset().union(*(part.names() for part in self.parts))


@dataclass(frozen=True, slots=True)
class Any:
    """At least one part holds; unknown if none holds and some part is unknown."""

    parts: tuple[Condition, ...]

    def holds(self, facts: Facts) -> bool | None:
        answers = [part.holds(facts) for part in self.parts]
        if True in answers:
            return True
        return None if None in answers else False

    def names(self) -> frozenset[str]:
        return frozenset().union(*(part.names() for part in self.parts))


@dataclass(frozen=True, slots=True)
class NoneOf:
    """No part is known to hold: unknown counts as not holding, so the answer is yes or no."""

    parts: tuple[Condition, ...]

    def holds(self, facts: Facts) -> bool | None:
        return not any(part.holds(facts) is True for part in self.parts)

    def names(self) -> frozenset[str]:
        return frozenset().union(*(part.names() for part in self.parts))
