"""Faults: how often they are met, how bad they can be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Final

from crankpath.engine.knowledge.building.fields import OneOrMany, RecordOf, record, says
from crankpath.engine.knowledge.building.lists import Either, ListOf, MapOf, refs
from crankpath.engine.knowledge.building.shapes import CHANCE, CONDITION, ID, TEXT, Ref
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.values import Origin

SENSIBLE_SHARES: Final = (1e-4, 0.3)
"""The least and the largest share that one fault has by good sense."""


@record
class Share:
    """How often a fault is met among such complaints, under a condition."""

    given: Condition | None = says("when it counts; the last one always holds", CONDITION, absent=None)
    chance: float = says("chance among such complaints", CHANCE)
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin


@record
class Degree:
    """How bad a fault can be, where such a one lies elsewhere than the others."""

    chance: float = says("chance that it is this bad", CHANCE)
    places: tuple[str, ...] = says("the segments at fault then", refs("segments", 1))


@record
class Fault:
    """One listed fault.

    degrees: chance of each when the fault is present, one degree "present" if there are no
    others. degree_places: where a degree has a place of its own (a wire open here or there);
    the others have all of ``places``.
    """

    id: str
    label: str = says("its name", TEXT, own=True)
    group: str = says("the group it is listed in", TEXT)
    kinds: tuple[str, ...] = says("groups that rules can name", ListOf(ID), absent=())
    places: tuple[str, ...] = says("the segments that are at fault", refs("segments", 1), absent=())
    shares: tuple[Share, ...] = says(
        "chance among such complaints: one, or a list of `given`, `chance`, `source`, the first that holds",
        OneOrMany(Share, "chance"), key="share",
    )  # fmt: skip
    degrees: Mapping[str, float] = says(
        "how bad: name to chance; `{chance: 0.3, places: [...]}` where a degree has places of its own",
        MapOf(Either(CHANCE, RecordOf(Degree)), least=1), absent={"present": 1.0},
    )  # fmt: skip
    away: float = says(
        "chance that it shows in a reading although the machine works well just then", CHANCE, absent=1.0
    )
    repair: str = says("the repair that cures it", Ref("repairs"))
    proof: str | None = says(
        "the measurement that proves the repair", Ref("measurements"), absent=None, goes_with=("places",)
    )
    leads_to: tuple[str, ...] = says("faults to look for once this one is found", refs("faults"), absent=())
    only: Condition | None = says("the machines that can have it", CONDITION, absent=None)
    about: str = says("what it is", TEXT, absent="", goes_with=("places",))
    cautions: tuple[str, ...] = says("the cautions that apply", refs("cautions"), absent=())
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin
    degree_places: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def places_of(self, degree: str) -> tuple[str, ...]:
        """Segments that are at fault when it has this degree."""
        return self.degree_places.get(degree, self.places)
