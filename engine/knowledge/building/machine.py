"""Records of what a machine has and what work on it needs: equipment, circuit, set-ups, cautions."""

from __future__ import annotations

from typing import Final

from crankpath.engine.knowledge.building.entry import Entry
from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.records import (
    Caution,
    EquipmentFact,
    Hazard,
    Point,
    Reference,
    Segment,
    Setup,
    State,
    Tool,
    Way,
)

STANDINGS: Final = ("published", "summary", "common_practice", "from_memory", "computed")
CIRCUITS: Final = ("main", "control", "battery")
SEGMENT_KINDS: Final = (
    "joint", "cable", "switch", "contacts", "motor", "battery", "wire", "coil", "mechanical",
)  # fmt: skip


def reference(entry: Entry) -> Reference:
    """One document, or the statement that there is none."""
    return Reference(
        id=entry.id,
        title=entry.text("title"),
        standing=entry.word("standing", STANDINGS),
        note=entry.text("note", ""),
        origin=entry.at,
    )


def equipment_fact(entry: Entry) -> EquipmentFact:
    """One property of the machine; its default must be one of its values."""
    values = entry.raw("values")
    if values is not None and not isinstance(values, list):
        entry.wrong("values", "is not a list", "Write 'values: [a, b]'")
    allowed = tuple(v for v in values if isinstance(v, (str, int))) if isinstance(values, list) else ()
    if isinstance(values, list) and len(allowed) != len(values):
        entry.wrong("values", "may hold words, whole numbers, true and false")
    default = entry.raw("default")
    if default is not None and allowed and default not in allowed:
        entry.wrong("default", f"'{default}' is not among the values")
    if not isinstance(default, (str, int, float, type(None))):
        entry.wrong("default", "is neither a word nor a number")
        default = None
    return EquipmentFact(
        id=entry.id,
        label=entry.text("label"),
        ask=entry.text("ask", ""),
        values=allowed,
        unit=entry.text("unit") if entry.has("unit") else None,
        default=default,
        optional=entry.flag("optional"),
        least=entry.maybe_number("least"),
        most=entry.maybe_number("most"),
        origin=entry.at,
    )


def point(entry: Entry) -> Point:
    """One test point."""
    label = entry.text("label")
    short = entry.text("short", label[:12], longest=12)
    return Point(entry.id, label, short, entry.text("touch", ""), entry.at)


def segment(entry: Entry) -> Segment:
    """One piece of circuit between two test points."""
    if not entry.has("ends"):
        entry.wrong(None, "has no 'ends'", "Add 'ends: [point, point]'")
    ends = entry.ids("ends", "points") if entry.has("ends") else None
    return Segment(
        id=entry.id,
        label=entry.text("label"),
        ends=(ends[0], ends[1]) if ends else ("", ""),
        circuit=entry.word("circuit", CIRCUITS),
        kind=entry.word("kind", SEGMENT_KINDS),
        only=entry.condition("only"),
        origin=entry.at,
    )


def caution(entry: Entry) -> Caution:
    """One danger."""
    return Caution(
        id=entry.id,
        text=entry.text("text"),
        short=entry.text("short", longest=160),
        sources=entry.refs("source", "references"),
        origin=entry.at,
        only=entry.condition("only"),
    )


def hazard(entry: Entry) -> Hazard:
    """One class of acts; the facts that forbid it must be facts that a rule derives."""
    forbidden_by = entry.words("forbidden_by")
    for index, name in enumerate(forbidden_by):
        if name not in entry.names.facts:
            advice = near(name, sorted(entry.names.facts))
            entry.wrong("forbidden_by", f"{quoted(name)} is no fact", advice, index, check="unknown_id")
    return Hazard(
        id=entry.id,
        label=entry.text("label"),
        counts_as=entry.refs("counts_as", "hazards"),
        cautions=entry.refs("cautions", "cautions"),
        forbidden_by=forbidden_by,
        every_act=entry.flag("every_act"),
        origin=entry.at,
    )


def tool(entry: Entry) -> Tool:
    """One tool."""
    return Tool(entry.id, entry.text("label"), entry.at)


def setup(entry: Entry) -> Setup:
    """Work shared by readings, with the ways to do it."""
    if entry.has("ways") and not isinstance(entry.raw("ways"), list):
        entry.wrong("ways", "is not a list", "Write each way as '- id: ...' with its fields")
    return Setup(
        id=entry.id,
        label=entry.text("label"),
        minutes=entry.number("minutes", 0.0, least=0),
        ways=tuple(_way(part) for part in entry.parts("ways")),
        cautions=entry.refs("cautions", "cautions"),
        sources=entry.refs("source", "references"),
        origin=entry.at,
        does=entry.refs("does", "hazards"),
        minutes_back=entry.number("minutes_back", 0.0, least=0),
        per=entry.maybe_ref("per", "equipment"),
        undoes=entry.refs("undoes", "setups"),
        disturbs=entry.refs("disturbs", "segments"),
        reach=entry.flag("reach"),
        stays_on=entry.flag("stays_on"),
    )


def _way(part: Entry) -> Way:
    way = Way(
        id=part.text("id"),
        label=part.text("label"),
        how=part.text("how", ""),
        suits=part.text("suits", ""),
        risk=part.text("risk", ""),
        only=part.condition("only"),
        does=part.refs("does", "hazards"),
    )
    part.close()
    return way


def state(entry: Entry) -> State:
    """What the machine does while a reading is taken."""
    return State(
        id=entry.id,
        label=entry.text("label"),
        symptom_shows=entry.flag("symptom_shows"),
        setups=entry.refs("setups", "setups"),
        cautions=entry.refs("cautions", "cautions"),
        origin=entry.at,
        does=entry.refs("does", "hazards"),
    )
