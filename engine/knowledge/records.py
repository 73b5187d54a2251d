"""What a knowledge base says, as frozen records: the one definition of its structure.

The records mirror the YAML sections one to one. What a field says is written beside it, and
the loader, the published JSON Schema and the guide's tables are made from that (see
`crankpath.engine.knowledge.building.fields`). A chance is a number strictly between 0 and 1; a
limit is a number or a formula over facts; every record remembers where it was written (`Origin`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.building.fields import record, section
from crankpath.engine.knowledge.building.shapes import SHARE_OF_ALL
from crankpath.engine.knowledge.documents import RawEntry
from crankpath.engine.knowledge.entries.base import NEUTRAL, Base, Budget
from crankpath.engine.knowledge.entries.faults import Degree, Fault, Share
from crankpath.engine.knowledge.entries.general import Complaint, Reference, Setting, Silence
from crankpath.engine.knowledge.entries.machine import (
    BringOn,
    CircuitPart,
    EquipmentFact,
    Point,
    Segment,
    SegmentKind,
)
from crankpath.engine.knowledge.entries.measurements import (
    HISTORY_KIND,
    SYMPTOM_KIND,
    ConditionalRange,
    HealthyReading,
    LimitSet,
    LimitTemplate,
    Measurement,
    MeterError,
    Range,
)
from crankpath.engine.knowledge.entries.rules import Balance, EvidenceRule, FactRule
from crankpath.engine.knowledge.entries.values import Origin, Quantity, Selector
from crankpath.engine.knowledge.entries.words import Words
from crankpath.engine.knowledge.entries.work import Caution, Hazard, Repair, Setup, State, Step, Tool, Way
from crankpath.engine.knowledge.problems import Problem

__all__ = [
    "Knowledge", "Settings", "Origin", "Quantity", "Selector",
    "Setting", "Reference", "Complaint", "Silence", "EquipmentFact", "BringOn", "Point", "Segment",
    "CircuitPart", "SegmentKind", "Base", "Budget",
    "Caution", "Hazard", "Tool", "Way", "Setup", "State", "Step", "Repair",
    "LimitSet", "LimitTemplate", "Range", "ConditionalRange", "HealthyReading", "MeterError", "Measurement",
    "HISTORY_KIND", "SYMPTOM_KIND",
    "Share", "Degree", "Fault", "EvidenceRule", "FactRule", "Balance", "Words",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Settings:
    """Policy numbers that the knowledge base states once (``settings.yaml``)."""

    values: Mapping[str, float]
    origins: Mapping[str, Origin]

    def __getitem__(self, name: str) -> float:
        """The number of that name; raises KnowledgeError where the base does not state it."""
        if name not in self.values:
            raise KnowledgeError(f"The knowledge base states no '{name}'; write it under 'settings:'.")
        return self.values[name]


@record
class Knowledge:
    """A whole knowledge base, checked for structure, with every id resolved.

    complaints: words of the operator -> (measurement, value). layers: "section/id" -> folder it
    comes from. doubts: what was read, but hardly as it was meant. written: "section/id" -> the entry
    as written, with the places of its fields. replaced: the entries below those that took their place.
    retired: those that a folder took out, with where and which folder.
    """

    version: str
    folders: tuple[str, ...]
    scale: Mapping[str, float] = section("words for chances, with their numbers", SHARE_OF_ALL, "scale")
    settings: Settings = section(
        "policy numbers: how sure is sure enough, what a come-back costs", Setting, "setting"
    )
    references: Mapping[str, Reference] = section(
        "documents, or the statement that there is none", Reference, "reference", like=True
    )
    equipment: Mapping[str, EquipmentFact] = section(
        "what is known of a machine before any reading", EquipmentFact, "machine fact", like=True
    )
    complaints: Mapping[str, tuple[str, str]] = section(
        "the operator's words as key, and what they mean", Complaint, "complaint", free=True
    )
    points: Mapping[str, Point] = section("where a lead can touch", Point, "test point", like=True)
    segments: Mapping[str, Segment] = section(
        "what lies between two neighbouring points", Segment, "segment", like=True
    )
    cautions: Mapping[str, Caution] = section("dangers", Caution, "caution", like=True)
    tools: Mapping[str, Tool] = section(
        "what readings need; a user who lacks one is not sent for the readings that need it", Tool, "tool"
    )
    setups: Mapping[str, Setup] = section(
        "work that several readings share, paid once", Setup, "set-up", like=True
    )
    states: Mapping[str, State] = section("what the machine does during a reading", State, "state", like=True)
    measurements: Mapping[str, Measurement] = section(
        "what can be read or observed", Measurement, "measurement", like=True
    )
    faults: Mapping[str, Fault] = section("what can be wrong", Fault, "fault", like=True)
    repairs: Mapping[str, Repair] = section("work that cures", Repair, "repair", like=True)
    rules: Mapping[str, EvidenceRule] = section(
        "what measurements read while a fault is there", EvidenceRule, "rule", like=True
    )
    facts: Mapping[str, FactRule] = section(
        "what follows from what is known, worked out until nothing new follows",
        FactRule,
        "fact rule",
        like=True,
    )
    balances: Mapping[str, Balance] = section("readings that must agree", Balance, "balance", like=True)
    base: Mapping[str, Base] = section(
        "the circuit that this base is about: words for a try, and which entries play which part; one entry",
        Base, "base", like=True, default_factory=dict,
    )  # fmt: skip
    circuits: Mapping[str, CircuitPart] = section(
        "the circuits that segments belong to", CircuitPart, "circuit", like=True, default_factory=dict
    )
    segment_kinds: Mapping[str, SegmentKind] = section(
        "kinds of segments, and how each is drawn", SegmentKind, "segment kind", like=True,
        default_factory=dict,
    )  # fmt: skip
    limit_templates: Mapping[str, LimitTemplate] = section(
        "limit sets that several measurements have in common", LimitTemplate, "limit template",
        default_factory=dict,
    )  # fmt: skip
    hazards: Mapping[str, Hazard] = section(
        "classes of acts with the same danger", Hazard, "hazard", like=True, default_factory=dict
    )
    words: Mapping[str, Words] = section(
        "how people write and speak of readings, an entry a language", Words, "words", default_factory=dict
    )
    doubts: tuple[Problem, ...] = field(default=(), compare=False, repr=False)
    replaced: Mapping[str, RawEntry] = field(default_factory=dict, compare=False, repr=False)
    retired: Mapping[str, tuple[RawEntry, Origin, str]] = field(
        default_factory=dict, compare=False, repr=False
    )
    written: Mapping[str, RawEntry] = field(default_factory=dict, compare=False, repr=False)
    layers: Mapping[str, str] = field(default_factory=dict)
    silence: tuple[Silence, ...] = section(
        "findings of a check that are intended, under the check's name", Silence, "silence", default=()
    )

    @property
    def about(self) -> Base:
        """The circuit that this base is about."""
        return next(iter(self.base.values()), NEUTRAL)
