"""What a knowledge base says, as frozen records; no reasoning and no files here.

The records mirror the YAML sections one to one (see ``kb/README.md``). A chance is a
number strictly between 0 and 1; a limit is a number or a formula over facts; every
record remembers where it was written (`Origin`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.values import Origin, Quantity
from crankpath.engine.knowledge.entries.work import Caution, Hazard, Repair, Setup, State, Step, Tool, Way
from crankpath.engine.knowledge.formula import Formula

__all__ = [
    "Balance", "Caution", "EquipmentFact", "EvidenceRule", "FactRule", "Fault", "Hazard", "HealthyReading",
    "Knowledge", "LimitSet", "Measurement", "Origin", "Point", "Quantity", "Reference", "Repair", "Segment",
    "Selector", "Settings", "Setup", "Share", "Silence", "State", "Step", "Tool", "Way",
]  # fmt: skip

@dataclass(frozen=True, slots=True)
class Reference:
    """A document, or the statement that there is none (``standing``).

    standing: published | summary | common_practice | from_memory | computed.
    """

    id: str
    title: str
    standing: str
    note: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class EquipmentFact:
    """A property of the machine that is known, or left unknown, before any reading."""

    id: str
    label: str
    ask: str
    values: tuple[str | int | bool, ...]  # empty: any number in `unit`
    unit: str | None
    default: str | int | float | bool | None
    optional: bool
    least: float | None
    most: float | None
    origin: Origin


@dataclass(frozen=True, slots=True)
class Point:
    """A test point: somewhere a meter lead can touch."""

    id: str
    label: str
    short: str  # at most 12 characters, for drawings
    touch: str  # where exactly the lead goes
    origin: Origin


@dataclass(frozen=True, slots=True)
class Segment:
    """What lies between two neighbouring test points; the place a fault can have."""

    id: str
    label: str
    ends: tuple[str, str]
    circuit: str  # main | control | battery
    kind: str  # joint | cable | switch | contacts | motor | battery | wire | coil | mechanical
    only: Condition | None
    origin: Origin


@dataclass(frozen=True, slots=True)
class LimitSet:
    """The upper limits between neighbouring bands, under a condition.

    ``at`` has one entry fewer than the measurement has bands, ascending, in its unit.
    """

    given: Condition | None
    at: tuple[Quantity, ...]
    sources: tuple[str, ...]
    because: str
    origin: Origin


@dataclass(frozen=True, slots=True)
class Range:
    """What a meter reads: nine readings in ten between two quantities, and what else happens.

    A plain number is one of a machine of the measurement's ``scale`` 1 and is multiplied by the scale;
    a formula stands as it is. The shares of ``nothing`` (no reading), ``whole`` (the whole battery) and
    ``sound`` (as on a sound circuit) are chances; what is left of 1 lies between ``low`` and ``high``.
    """

    low: Quantity | None
    high: Quantity | None
    nothing: float = 0.0
    whole: float = 0.0
    sound: float = 0.0


@dataclass(frozen=True, slots=True)
class ConditionalRange:
    """A range under a condition, as what the whole battery reads."""

    given: Condition | None
    reads: Range
    origin: Origin


@dataclass(frozen=True, slots=True)
class HealthyReading:
    """What is read on a circuit without any listed fault, under a condition.

    reads: chance of each value of an observation, aligned with its bands and summing to 1; or the range
    of a meter reading.
    """

    given: Condition | None
    reads: tuple[float, ...] | Range
    origin: Origin


@dataclass(frozen=True, slots=True)
class Measurement:
    """Something a person can observe or read, and how.

    bands: ordered names between the limits, for people; of an observation its values in order of
    dominance. combination: what several faults show together: "adds" (drops along one path), "shifts"
    (each moves a meter reading), "largest", "smallest", "product_of_odds" (of an observation).
    scale: what plain numbers of ranges are multiplied by. whole: what the whole battery reads here.
    """

    id: str
    label: str
    short: str  # at most 14 characters, for tables
    aliases: tuple[str, ...]
    asks: str
    group: str
    kinds: tuple[str, ...]
    unit: str | None  # None: an observation
    bands: tuple[str, ...]
    band_labels: Mapping[str, str]
    combination: str
    scale: Quantity
    whole: tuple[ConditionalRange, ...]
    limits: tuple[LimitSet, ...]
    healthy: tuple[HealthyReading, ...]
    between: tuple[str, str] | None  # where the two leads go
    spans: tuple[tuple[str, str], ...]  # pieces of circuit the reading answers for
    leaves_out: tuple[str, ...]  # segments inside the spans that it does not answer for
    signed: bool  # False: the sign only tells which lead is where
    least: Quantity | None  # impossible below
    most: Quantity | None  # impossible above
    doubtful_above: Quantity | None  # asked again above, when the text had no unit
    relative_error: float  # one standard deviation, of the reading (meter and repeat)
    absolute_error: float  # one standard deviation, in the unit
    state: str
    setups: tuple[str, ...]
    tools: tuple[str, ...]
    minutes: float
    only: Condition | None  # exists on this machine
    parallel: str | None  # equipment fact that counts cables read one by one
    leads: str
    meter: str
    steps: tuple[str, ...]
    misleads: str
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    origin: Origin
    does: tuple[str, ...] = ()  # hazard ids

    @property
    def numeric(self) -> bool:
        """True for a reading in a unit, False for an observation."""
        return self.unit is not None

    @property
    def worsens(self) -> str:
        """Which way faults move it: "up", "down" or "both"."""
        ways = {"adds": "up", "largest": "up", "smallest": "down"}
        return ways.get(self.combination, "both")


@dataclass(frozen=True, slots=True)
class Share:
    """How often a fault is met among such complaints, under a condition."""

    given: Condition | None
    chance: float
    sources: tuple[str, ...]
    origin: Origin


@dataclass(frozen=True, slots=True)
class Fault:
    """One listed fault.

    degrees: name -> chance that it has this degree when present (one degree "present"
    if the fault has no others). degree_places: where a degree has a place of its own (a wire
    open here or there); the others have all of ``places``. away: chance that it shows in a
    reading taken while an intermittent symptom is away.
    """

    id: str
    label: str
    group: str
    kinds: tuple[str, ...]
    places: tuple[str, ...]  # segment ids
    shares: tuple[Share, ...]
    degrees: Mapping[str, float]
    away: float
    repair: str
    proof: str | None  # measurement that proves the repair
    leads_to: tuple[str, ...]  # faults to look for once this one is found (why)
    only: Condition | None
    about: str
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    origin: Origin
    degree_places: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def places_of(self, degree: str) -> tuple[str, ...]:
        """Segments that are at fault when it has this degree."""
        return self.degree_places.get(degree, self.places)


@dataclass(frozen=True, slots=True)
class Selector:
    """Which faults or measurements a rule speaks of: ids, or every one of a kind."""

    ids: tuple[str, ...]
    kinds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EvidenceRule:
    """What measurements read while a fault is there.

    where: "across" the fault's place (the measurement's span covers it), "clear_of" it,
    or "any". masks: 0, or a rank; the highest rank present takes the reading over
    whatever the other faults do.
    """

    id: str
    faults: Selector
    degrees: tuple[str, ...]  # empty: every degree
    measurements: Selector
    where: str
    given: Condition | None
    unless: Condition | None
    reads: Mapping[str, float] | Range  # value -> chance as written, the rest is spread; or a range
    masks: int
    because: str
    misleads: str
    sources: tuple[str, ...]
    origin: Origin


@dataclass(frozen=True, slots=True)
class FactRule:
    """Derives facts, cautions and verdicts on readings from facts.

    until, until_repaired: the rule is silent once a reading, or one of these repairs, came after the
    readings it rests on.
    """

    id: str
    when: Condition
    unless: Condition | None
    then: Mapping[str, str | bool | float | Formula]
    caution: tuple[str, ...]
    warn: str
    distrust: tuple[str, ...]  # measurement ids whose reading is not to be trusted
    pointless: Selector | None  # measurements that can tell nothing now
    unsafe: Selector | None  # measurements that must not be taken now
    because: str
    sources: tuple[str, ...]
    origin: Origin
    until: Condition | None = None
    until_repaired: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Balance:
    """A sum or an order that readings of one machine must keep.

    sort "sum": whole = sum of parts. sort "not_above": whole <= parts[0].
    implied: the measurement that is a check and no new evidence once the others are read.
    """

    id: str
    sort: str
    whole: str
    parts: tuple[str, ...]
    implied: str | None
    only: Condition | None
    relative: float  # crank-to-crank ripple, of the whole, one standard deviation
    because: str
    sources: tuple[str, ...]
    origin: Origin


@dataclass(frozen=True, slots=True)
class Silence:
    """Findings of one check that are meant to be so: of these entries, for this reason.

    entries: ids, "section/id", or a section's name. folder: where it is written.
    """

    check: str
    entries: tuple[str, ...]
    because: str
    folder: str
    origin: Origin


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


@dataclass(frozen=True, slots=True)
class Knowledge:
    """A whole knowledge base, checked for structure, with every id resolved."""

    version: str
    folders: tuple[str, ...]
    scale: Mapping[str, float]
    settings: Settings
    references: Mapping[str, Reference]
    equipment: Mapping[str, EquipmentFact]
    complaints: Mapping[str, tuple[str, str]]  # words of the operator -> (measurement, value)
    points: Mapping[str, Point]
    segments: Mapping[str, Segment]
    cautions: Mapping[str, Caution]
    tools: Mapping[str, Tool]
    setups: Mapping[str, Setup]
    states: Mapping[str, State]
    measurements: Mapping[str, Measurement]
    faults: Mapping[str, Fault]
    repairs: Mapping[str, Repair]
    rules: Mapping[str, EvidenceRule]
    facts: Mapping[str, FactRule]
    balances: Mapping[str, Balance]
    hazards: Mapping[str, Hazard] = field(default_factory=dict)
    cases_folder: str | None = None
    layers: Mapping[str, str] = field(default_factory=dict)  # "section/id" -> folder it comes from
    silence: tuple[Silence, ...] = ()
