"""What work on the machine does and needs, and how it can hurt."""

from __future__ import annotations

from crankpath.engine.knowledge.building.fields import ShortOrWhole, many, record, says
from crankpath.engine.knowledge.building.lists import ListOf, refs
from crankpath.engine.knowledge.building.shapes import (
    CONDITION,
    FACT,
    FLAG,
    ID,
    NOT_NEGATIVE,
    TEXT,
    Ref,
    short_text,
)
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.values import Origin


@record
class Caution:
    """A danger, said where it applies."""

    id: str
    text: str = says("the danger and what to do", TEXT)
    short: str = says("the same for a text message, at most 160 characters", short_text(160), own=True)
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin
    only: Condition | None = says("the machines it is said on", CONDITION, default=None)
    in_the_shop: bool = says(
        "`true` if it is not said to whoever works with the machine, meters left on", FLAG, default=False
    )


@record
class Hazard:
    """A class of acts that can hurt in the same way, and the cautions all of them carry."""

    id: str
    label: str = says("its name", TEXT, own=True)
    counts_as: tuple[str, ...] = says(
        "hazards that an act of this one belongs to as well", refs("hazards"), absent=()
    )
    cautions: tuple[str, ...] = says("the cautions of every such act", refs("cautions"), absent=())
    forbidden_by: tuple[str, ...] = says(
        "facts; while one of them is true no such act is offered", ListOf(FACT), absent=()
    )
    every_act: bool = says("`true` if it includes every act", FLAG, absent=False)
    said: tuple[str, ...] = says("phrases that tell of such an act", ListOf(TEXT), absent=())
    origin: Origin
    left_on: bool = says(
        "`true` if it goes with every meter that stays on a machine at work", FLAG, default=False
    )


@record
class Tool:
    """Something a reading needs that a user may lack."""

    id: str
    label: str = says("its name", TEXT)
    origin: Origin


@record
class Way:
    """One way to make a set-up, what machine it suits and what it can do to you."""

    id: str = says("its id within the set-up", ID)
    label: str = says("its name", TEXT)
    how: str = says("how it is done", TEXT, absent="")
    suits: str = says("which machines it suits", TEXT, absent="")
    risk: str = says("what can go wrong", TEXT, absent="")
    only: Condition | None = says("the machines it can be done on", CONDITION, absent=None)
    does: tuple[str, ...] = says("the hazards it belongs to", refs("hazards"), default=())


@record
class Setup:
    """Work done once and shared by the readings that need it.

    minutes_back: to put things back. reach: it makes a place reachable; who cannot make it for one
    reading cannot for another.
    """

    id: str
    label: str = says("its name", TEXT, own=True)
    minutes: float = says("minutes it takes, paid once", NOT_NEGATIVE, absent=0.0)
    ways: tuple[Way, ...] = says("the ways to do it", many(Way, 0), absent=())
    cautions: tuple[str, ...] = says("the cautions that apply", refs("cautions"), absent=())
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin
    does: tuple[str, ...] = says("the hazards it belongs to", refs("hazards"), default=())
    minutes_back: float = says("minutes to put things back afterwards", NOT_NEGATIVE, default=0.0)
    per: str | None = says("the fact that counts the pieces it is done on", Ref("equipment"), default=None)
    undoes: tuple[str, ...] = says("set-ups that it undoes", refs("setups"), default=())
    disturbs: tuple[str, ...] = says(
        "segments that it moves, so that a fault there may hide for a while", refs("segments"), default=()
    )
    reach: bool = says("`true` if it makes a place reachable", FLAG, default=False)
    stays_on: bool = says("`true` if its leads can stay on while the machine works", FLAG, default=False)


@record
class State:
    """What the machine is doing while a reading is taken (rested, cranking, key held ...)."""

    id: str
    label: str = says("its name", TEXT, own=True)
    symptom_shows: bool = says(
        "`true` if it can be seen whether the complaint is there just then", FLAG, absent=False
    )
    setups: tuple[str, ...] = says("the set-ups needed", refs("setups"), absent=())
    cautions: tuple[str, ...] = says("the cautions that apply", refs("cautions"), absent=())
    origin: Origin
    does: tuple[str, ...] = says("the hazards it belongs to", refs("hazards"), default=())


@record
class Step:
    """One step of a repair, and what it does beyond the repair as a whole."""

    text: str = says("what to do", TEXT, key="step")
    does: tuple[str, ...] = says("the hazards it belongs to", refs("hazards"), default=())


@record
class Repair:
    """Work that cures one or more faults.

    needs: until it holds, ``instead`` is advised, for the reason ``needs_because``. told_by: where
    nobody knows whether it holds, this is read first.
    """

    id: str
    label: str = says("its name", TEXT, own=True)
    steps: tuple[Step, ...] = says("what to do, step by step", ListOf(ShortOrWhole(Step, "text")), absent=())
    minutes: float = says("minutes of work", NOT_NEGATIVE)
    parts_cost: float = says("cost of the parts, as minutes of shop time", NOT_NEGATIVE, absent=0.0)
    cautions: tuple[str, ...] = says("the cautions that apply", refs("cautions"), absent=())
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin
    does: tuple[str, ...] = says("the hazards it belongs to", refs("hazards"), default=())
    needs: Condition | None = says(
        "what must be known to hold before it may be advised", CONDITION, default=None
    )
    instead: str | None = says("the repair that is advised until then", Ref("repairs"), default=None)
    needs_because: str = says("why that must hold", TEXT, default="")
    told_by: str | None = says(
        "the reading that tells whether it holds, asked before `instead`", Ref("measurements"), default=None
    )
    hides: tuple[str, ...] = says(
        "faults that it hides for some days: the machine works, and fails again later",
        refs("faults"),
        default=(),
    )
