"""What is special about the circuit that a knowledge base is about."""

from __future__ import annotations

from typing import Final

from crankpath.engine.knowledge.building.fields import RecordOf, record, says
from crankpath.engine.knowledge.building.lists import ListOf
from crankpath.engine.knowledge.building.shapes import ID, TEXT, Ref
from crankpath.engine.knowledge.entries.values import Origin


@record
class Part:
    """A part of the way of the current, and the reading of what is lost there."""

    reading: str = says("the reading of what is lost there, if there is one", Ref("measurements"), absent="")
    label: str = says("its name", TEXT)


@record
class Budget:
    """Where the source's voltage goes: the readings of one try round the loop.

    What an optional reading is for is left out where it is not stated: a split of a leg needs the current.
    """

    label: str = says("the title of the figure", TEXT)
    rested: str | None = says("the source with nothing switched on", Ref("measurements"), absent=None)
    loaded: str = says("the source while the load works", Ref("measurements"))
    inside: str = says("what is lost inside the source is called", TEXT)
    there: Part = says("from the source to the load", RecordOf(Part))
    back: Part = says("from the load back to the source", RecordOf(Part))
    load: Part = says("the load itself, with what stands in series inside it", RecordOf(Part))
    inner: Part | None = says("what stands in series inside it", RecordOf(Part), absent=None)
    rest: str = says("the load without `inner` is called", TEXT, absent="")
    current: str = says("the current on that way", Ref("measurements"), absent="")
    speed: str | None = says("the speed that the voltage at the load makes", Ref("measurements"), absent=None)
    rating: str | None = says(
        "the machine fact with the source's rating, A, by its test in the cold", Ref("equipment"),
        absent=None,
    )  # fmt: skip


@record
class Base:
    """The circuit that a base is about: the words for a try, and which entries play which part."""

    id: str
    label: str = says("its name", TEXT, default="circuit")
    one_try: str = says("one try of the machine is called", TEXT, default="try", key="try")
    tries: str = says("several are called", TEXT, default="tries")
    went_well: str = says("it did what it should, as one says it after a try", TEXT, default="worked well")
    goes_well: str = says("the same said of now", TEXT, default="works well")
    how_to_try: str = says("how a try is made while a meter is read", TEXT, default="Try it")
    bring_on: tuple[str, ...] = says("ways to bring on a fault that hides", ListOf(TEXT), default=())
    system: str | None = says(
        "the machine fact that tells the system's voltage", Ref("equipment"), default=None
    )
    cylinders: str | None = says(
        "the machine fact that counts what passes in two turns, for the speed in a recording",
        Ref("equipment"), default=None,
    )  # fmt: skip
    moves_though: tuple[str, ...] = says(
        "values of the complaint with which a recording shows the machine moving all the same",
        ListOf(ID), default=(),
    )  # fmt: skip
    budget: Budget | None = says("where the voltage goes", RecordOf(Budget), default=None)
    origin: Origin = Origin("", 1, 1)


NEUTRAL: Final = Base("")
"""The words of a base that states none."""
