"""Records of work on the machine: what it does, what it needs and how it can hurt."""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.values import Origin


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger, said where it applies."""

    id: str
    text: str
    short: str  # must fit a text message
    sources: tuple[str, ...]
    origin: Origin
    only: Condition | None = None  # machines it is said on


@dataclass(frozen=True, slots=True)
class Hazard:
    """A class of acts that can hurt in the same way, and the cautions all of them carry.

    counts_as: classes that an act of this one belongs to as well. forbidden_by: facts; while one of
    them is true no act of the class is offered. every_act: True if every act belongs to it.
    """

    id: str
    label: str
    counts_as: tuple[str, ...]
    cautions: tuple[str, ...]
    forbidden_by: tuple[str, ...]
    every_act: bool
    origin: Origin


@dataclass(frozen=True, slots=True)
class Tool:
    """Something a reading needs that a user may lack."""

    id: str
    label: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Way:
    """One way to make a set-up, what machine it suits and what it can do to you."""

    id: str
    label: str
    how: str
    suits: str
    risk: str
    only: Condition | None
    does: tuple[str, ...] = ()  # hazard ids


@dataclass(frozen=True, slots=True)
class Setup:
    """Work done once and shared by the readings that need it.

    minutes_back: to put things back. per: equipment fact that counts the pieces it is done on. undoes:
    set-ups that no longer stand after it. disturbs: segments that it may cure for a while. reach: it
    makes a place reachable; who cannot make it for one reading cannot for another. stays_on: its leads
    can stay connected while the machine works.
    """

    id: str
    label: str
    minutes: float
    ways: tuple[Way, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    origin: Origin
    does: tuple[str, ...] = ()  # hazard ids
    minutes_back: float = 0.0
    per: str | None = None
    undoes: tuple[str, ...] = ()
    disturbs: tuple[str, ...] = ()
    reach: bool = False
    stays_on: bool = False


@dataclass(frozen=True, slots=True)
class State:
    """What the machine is doing while a reading is taken (rested, cranking, key held ...)."""

    id: str
    label: str
    symptom_shows: bool  # can the complaint be present or away during such a reading?
    setups: tuple[str, ...]
    cautions: tuple[str, ...]
    origin: Origin
    does: tuple[str, ...] = ()  # hazard ids


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a repair, and what it does beyond the repair as a whole (hazard ids)."""

    text: str
    does: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Repair:
    """Work that cures one or more faults.

    needs: what must be known to hold before it may be advised; ``instead`` is the repair that is
    advised until then, for the reason ``needs_because``.
    """

    id: str
    label: str
    steps: tuple[Step, ...]
    minutes: float
    parts_cost: float  # in the currency-free unit of settings: minutes of shop time
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    origin: Origin
    does: tuple[str, ...] = ()  # hazard ids
    needs: Condition | None = None
    instead: str | None = None
    needs_because: str = ""
