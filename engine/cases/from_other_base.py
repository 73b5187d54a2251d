"""A case of another base taken along: what this base knows too goes in, the rest is kept as notes.

A name that both bases have means the same in both. What tells of the complaint stays out: each has its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from crankpath.engine.cases.casefile import (
    CannotEntry,
    CaseEntry,
    CaseFile,
    NoteEntry,
    ReadingEntry,
    RepairedEntry,
    TriesEntry,
    name_problems,
)
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Knowledge


def carried(
    case: CaseFile, kb: Knowledge, others: Iterable[Knowledge] | None = None
) -> tuple[CaseFile, tuple[str, ...]]:
    """The case as this base can use it, and what was left out, a text each.

    Args:
        case: as it was read.
        kb: the base in which it goes on.
        others: other whole bases, by default those that are shipped; looked at only if this one lacks a name.

    A case of this base comes back as it is, and so does one whose names no other base has: it holds a slip.
    """
    bare = replace(case, expect=None)
    if not name_problems(bare, kb):
        return case, ()
    if others is None:
        from crankpath.engine.knowledge.loading import other_bases  # nearly every case needs no other base

        others = other_bases(kb)
    if all(name_problems(bare, other) for other in others):
        return case, ()
    told = {name: value for name, value in case.equipment.items() if name in kb.equipment}
    heads = [f"{name} {str(value).lower()}" for name, value in case.equipment.items() if name not in told]
    heads += [f"without {tool}" for tool in case.lacks if tool not in kb.tools]
    heads += [f"complaint {case.complaint}"] if case.complaint else []
    entries = [_carried(entry, kb) for entry in case.entries]
    pairs = zip(case.entries, entries, strict=True)
    noted = [str(new.note) for old, new in pairs if new is not old and isinstance(new, NoteEntry)]
    lacks = tuple(tool for tool in case.lacks if tool in kb.tools)
    all_entries = (*(NoteEntry(note=head) for head in heads), *entries)
    taken = replace(bare, equipment=told, entries=all_entries, complaint=None, lacks=lacks)
    return taken, (*heads, *noted)


def _carried(entry: CaseEntry, kb: Knowledge) -> CaseEntry:
    """The entry as this base can use it; a note that tells what it was, where it cannot."""
    match entry:
        case ReadingEntry() if entry.measurement in kb.measurements:
            kinds = kb.measurements[entry.measurement].kinds
            if not {SYMPTOM_KIND, HISTORY_KIND}.intersection(kinds):
                return replace(entry, symptom=True, crank=None)
            what = f"{entry.measurement} {entry.value}"
        case ReadingEntry():
            what = f"{entry.measurement} {entry.value}"
        case CannotEntry():
            if entry.measurement in kb.measurements:
                return entry
            what = f"cannot {entry.measurement}"
        case RepairedEntry():
            if entry.repair in kb.repairs:
                return replace(entry, cured=None)
            what = f"repaired {entry.repair}"
        case TriesEntry():
            what = f"failed {entry.failures} of {entry.of}"
        case _:
            return entry
    note = f"{what}; {entry.note}" if entry.note else what
    return NoteEntry(note=note, at=entry.at, by=entry.by, origin=entry.origin)
