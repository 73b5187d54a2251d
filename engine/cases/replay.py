"""A case file put into a case, entry by entry; what cannot go in is told with its place."""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import (
    CannotEntry,
    CaseEntry,
    CaseFile,
    ReadingEntry,
    RepairedEntry,
    TriesEntry,
    name_problems,
)
from crankpath.engine.errors import CaseError, DoubtfulReading, EquipmentError
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge, Origin

_NOWHERE = Origin("", 1, 1)


@dataclass(frozen=True, slots=True)
class Replayed:
    """The case with every entry that could go in, and a problem for each that could not."""

    case: Case | None
    problems: tuple[Problem, ...]


def replay(kb: Knowledge, file: CaseFile) -> Replayed:
    """Put a case file into a fresh case.

    Returns:
        The case is None only if the machine itself cannot be understood. All problems are
        told at once; the entries that are in order are in the case all the same.
    """
    problems = list(name_problems(file, kb))
    known = {p.origin for p in problems}
    try:
        lacks = frozenset(tool for tool in file.lacks if tool in kb.tools)
        case = Case(kb, file.equipment, lacks, file.round_trip)
    except EquipmentError as slip:
        if not problems:
            problems.append(Problem(_equipment_origin(file, str(slip)), str(slip), ""))
        return Replayed(None, tuple(problems))
    for entry in file.entries:
        if entry.origin in known:
            continue
        try:
            enter(case, entry)
        except DoubtfulReading as doubt:
            advice = (
                f"Write '{doubt.suggestion}' if that is what the meter showed" if doubt.suggestion else ""
            )
            problems.append(Problem(entry.origin, str(doubt), advice))
        except CaseError as slip:
            problems.append(Problem(entry.origin, str(slip), ""))
    return Replayed(case, tuple(problems))


def enter(case: Case, entry: CaseEntry) -> None:
    """Put one entry of a file into a case; a bare note changes nothing. Raises as `Case` does."""
    match entry:
        case ReadingEntry():
            case.record(entry.measurement, entry.value, entry.symptom, entry.cable, entry.crank)
        case CannotEntry():
            case.cannot(entry.measurement)
        case TriesEntry():
            case.tries(entry.failures, entry.of, entry.waiting)
        case RepairedEntry():
            case.repaired(entry.repair, entry.cured)
        case _:
            return


def _equipment_origin(file: CaseFile, message: str) -> Origin:
    for place, origin in file.places.items():
        if message.startswith(place.removeprefix("equipment/") + ":"):
            return origin
    return next(iter(file.places.values()), _NOWHERE)
