"""A case as a YAML text: read into frozen records with their places, and written back.

::

    about: a corroded post on a loader
    equipment: {system_voltage: 12, duty: heavy}
    complaint: just clicks
    entries:
      - {reading: crank_behaviour, value: single_click}
      - {reading: positive_leg_drop, value: 820 mV, symptom: true, at: "2026-01-05T10:00:00Z", by: operator}
      - {cannot: crank_current}
      - {tries: {failures: 2, of: 10}}
      - {repaired: clean_positive_post, cured: false}
      - {note: rained all night}
    expect: {first: positive_post_joint, chance: {positive_post_joint: {least: 0.6}}}

``readings: {positive_leg_drop: 820 mV, ...}`` is short for entries, and comes before them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.documents import Document
from crankpath.engine.knowledge.problems import Problem, near, quoted
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.engine.knowledge.structure import structure_problems
from crankpath.engine.knowledge.yaml_source import read_yaml

NOT_LISTED: Final = "not_listed"
"""Stands in ``expect: chance:`` for a fault that the knowledge base does not list."""

_NOWHERE: Final = Origin("", 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class FileEntry:
    """What every entry of a case file can carry: when, by whom, a note, and its place."""

    at: str | None = None
    by: str | None = None
    note: str | None = None
    origin: Origin = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class ReadingEntry(FileEntry):
    """A reading: text as typed, or a number in the measurement's unit."""

    measurement: str
    value: str | int | float
    symptom: bool = True
    cable: int = 1
    crank: int | None = None


@dataclass(frozen=True, slots=True)
class CannotEntry(FileEntry):
    """There is no means to take this reading."""

    measurement: str


@dataclass(frozen=True, slots=True)
class TriesEntry(FileEntry):
    """Of so many tries at the key, how many failed; waiting: made only to read a failure."""

    failures: int
    of: int
    waiting: bool = False


@dataclass(frozen=True, slots=True)
class RepairedEntry(FileEntry):
    """A repair was made; cured None: it is not known yet."""

    repair: str
    cured: bool | None = None


@dataclass(frozen=True, slots=True)
class NoteEntry(FileEntry):
    """Nothing but a note."""


CaseEntry = ReadingEntry | CannotEntry | TriesEntry | RepairedEntry | NoteEntry


@dataclass(frozen=True, slots=True)
class Expect:
    """What must come out of a case of the knowledge base; what is absent is not looked at.

    first: likeliest fault, None for one that is not listed; it counts only if
    `first_stated`. verdict: of action, measurement and repair those that are stated.
    chance: fault (or `NOT_LISTED`) -> least and most. next: measurements one of which must
    be suggested first. never: faults and repairs that must not be concluded on the way.
    says: pieces of text that the warnings must contain.
    """

    first: str | None = None
    first_stated: bool = False
    repair: str | None = None
    verdict: Mapping[str, str] = field(default_factory=dict)
    chance: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    next: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    says: tuple[str, ...] = ()
    origin: Origin = field(default=_NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class CaseFile:
    """A whole case file. lacks: tools not at hand. round_trip: minutes from a question to its answer."""

    equipment: Mapping[str, Any] = field(default_factory=dict)
    entries: tuple[CaseEntry, ...] = ()
    complaint: str | None = None
    about: str | None = None
    source: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    round_trip: float = 0.0
    expect: Expect | None = None
    places: Mapping[str, Origin] = field(default_factory=dict, compare=False)  # "expect/first" -> its key


def load_case(text: str | bytes, file: str = "case") -> CaseFile:
    """The case that a text describes.

    Raises:
        CaseError: the message lists every slip, one a line.
    """
    case, problems = read_case(text, file)
    if case is None:
        raise CaseError("\n".join(str(problem) for problem in problems))
    return case


def read_case(text: str | bytes, file: str = "case") -> tuple[CaseFile | None, tuple[Problem, ...]]:
    """Like `load_case`, but the problems come back as data; the case is None if there are any."""
    document = read_yaml(text, file)
    problems = document.problems
    if not problems:
        problems = structure_problems(document) or tuple(_numbers_that_cannot_be(document))
    return (None, problems) if problems else (_case(document), ())


def name_problems(case: CaseFile, kb: Knowledge) -> tuple[Problem, ...]:
    """Names in a case that the knowledge base does not have, with near spellings."""
    return tuple(
        Problem(origin, f"there is no {what} {quoted(name)}", near(name, known))
        for name, known, what, origin in (*_entered_names(case, kb), *_expected_names(case, kb))
        if name is not None and name not in known
    )


_Named = tuple[str | None, Collection[str], str, Origin]


def _entered_names(case: CaseFile, kb: Knowledge) -> Iterator[_Named]:
    for fact in case.equipment:
        yield fact, kb.equipment, "machine fact", case.places.get(f"equipment/{fact}", _NOWHERE)
    for tool in case.lacks:
        yield tool, kb.tools, "tool", case.places.get("lacks", _NOWHERE)
    for entry in case.entries:
        if isinstance(entry, (ReadingEntry, CannotEntry)):
            yield entry.measurement, kb.measurements, "measurement", entry.origin
        elif isinstance(entry, RepairedEntry):
            yield entry.repair, kb.repairs, "repair", entry.origin


def _expected_names(case: CaseFile, kb: Knowledge) -> Iterator[_Named]:
    expect = case.expect
    if expect is None:
        return
    at = {name.removeprefix("expect/"): origin for name, origin in case.places.items()}
    yield expect.first, kb.faults, "fault", at.get("first", expect.origin)
    for field_, repair in (("repair", expect.repair), ("verdict", expect.verdict.get("repair"))):
        yield repair, kb.repairs, "repair", at.get(field_, expect.origin)
    for field_, names in (("next", expect.next), ("verdict", (expect.verdict.get("measurement"),))):
        for measurement in names:
            yield measurement, kb.measurements, "measurement", at.get(field_, expect.origin)
    for fault in expect.chance:
        yield fault, (*kb.faults, NOT_LISTED), "fault", at.get("chance", expect.origin)
    for name in expect.never:
        yield name, (*kb.faults, *kb.repairs), "fault or repair", at.get("never", expect.origin)


def _numbers_that_cannot_be(document: Document) -> Iterator[Problem]:
    """What a schema cannot say: pairs of numbers that exclude each other."""
    for index, entry in enumerate(document.data.get("entries") or ()):
        tries = entry.get("tries")
        if tries and tries["failures"] > tries["of"]:
            message = f"{tries['failures']} failures in {tries['of']} tries cannot be"
            yield Problem(
                document.origin(("entries", index, "tries")), message, "Write {failures: 2, of: 10}"
            )
    for fault, bounds in ((document.data.get("expect") or {}).get("chance") or {}).items():
        if bounds.get("least", 0) > bounds.get("most", 1):
            at = document.origin(("expect", "chance", fault))
            yield Problem(at, f"the least chance of {quoted(fault)} is above the most", "Swap them")


def _case(document: Document) -> CaseFile:
    data = document.data
    short = data.get("readings") or {}
    entries: list[CaseEntry] = [
        ReadingEntry(name, value, origin=document.key_origin(("readings", name)))
        for name, value in short.items()
    ]
    for index, written in enumerate(data.get("entries") or ()):
        entries.append(_entry(written, document.origin(("entries", index))))
    equipment = data.get("equipment") or {}
    places = {f"equipment/{name}": document.key_origin(("equipment", name)) for name in equipment}
    places |= {f"expect/{name}": document.key_origin(("expect", name)) for name in data.get("expect", ())}
    if "lacks" in data:
        places["lacks"] = document.key_origin(("lacks",))
    return CaseFile(
        equipment=equipment,
        entries=tuple(entries),
        complaint=data.get("complaint"),
        about=data.get("about"),
        source=_tuple(data.get("source")),
        lacks=_tuple(data.get("lacks")),
        round_trip=float(data.get("round_trip", 0)),
        expect=_expect(data["expect"], document.key_origin(("expect",))) if "expect" in data else None,
        places=places,
    )


def _entry(written: Mapping[str, Any], origin: Origin) -> CaseEntry:
    common: dict[str, Any] = {key: written.get(key) for key in ("at", "by", "note")}
    common["origin"] = origin
    match written:
        case {"reading": measurement, "value": value}:
            symptom, cable = written.get("symptom", True), written.get("cable", 1)
            return ReadingEntry(measurement, value, symptom, cable, written.get("crank"), **common)
        case {"cannot": measurement}:
            return CannotEntry(measurement, **common)
        case {"tries": {"failures": failures, "of": of}}:
            return TriesEntry(failures, of, written["tries"].get("waiting", False), **common)
        case {"repaired": repair}:
            return RepairedEntry(repair, written.get("cured"), **common)
        case _:
            return NoteEntry(**common)


def _expect(written: Mapping[str, Any], origin: Origin) -> Expect:
    chance = {
        fault: (float(bounds.get("least", 0)), float(bounds.get("most", 1)))
        for fault, bounds in written.get("chance", {}).items()
    }
    return Expect(
        first=written.get("first"),
        first_stated="first" in written,
        repair=written.get("repair"),
        verdict=written.get("verdict", {}),
        chance=chance,
        next=_tuple(written.get("next")),
        never=_tuple(written.get("never")),
        says=_tuple(written.get("says")),
        origin=origin,
    )


def _tuple(value: Any) -> tuple[str, ...]:
    if value is None:
        return ()
    return (value,) if isinstance(value, str) else tuple(value)
