"""A case file that a person names: read, put into a case, and what it says beside the readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import CaseFile, NoteEntry, read_case
from crankpath.engine.cases.from_other_base import carried
from crankpath.engine.cases.replay import replay
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.problems import Problem
from crankpath.shell.files import read_named
from crankpath.shell.kb_folders import Folders
from crankpath.shell.text.columns import wrapped

if TYPE_CHECKING:
    from crankpath.shell.outlets.pages.sheet.data import SheetMeta


def case_from(file: Path, folders: Folders, round_trip: float | None = None) -> tuple[Case, CaseFile]:
    """The case that a file tells, under the shipped knowledge and a shop's own folder.

    `round_trip` takes the place of the minutes from a question to its answer that the file tells.

    Raises:
        CaseError: the file or something in it cannot be used; every slip has its line.
        KnowledgeError: the knowledge base cannot be used.
    """
    case, written, problems = read_into_case(file, folders, round_trip)
    if case is None or written is None or problems:
        slips = "\n".join(str(problem) for problem in problems)
        raise CaseError(f"{file} cannot be used. Correct the lines named and run it again.\n{slips}")
    return case, written


def read_into_case(
    file: Path, folders: Folders, round_trip: float | None = None
) -> tuple[Case | None, CaseFile | None, Sequence[Problem]]:
    """What a case file makes, as far as it can be used, with every slip in it; the rest as `case_from`."""
    text = read_named(file)
    kb = folders.load()
    written, problems = read_case(text, str(file))
    if written is None:
        return None, None, problems
    written, left = carried(written, kb)
    _tell_left_out(left)
    written = written if round_trip is None else replace(written, round_trip=round_trip)
    replayed = replay(kb, written)
    return replayed.case, written, replayed.problems


def _tell_left_out(left: Sequence[str]) -> None:
    """Say on standard error what of another base's case is not known here."""
    if left:
        lines = wrapped(f"A case of another base. Not used here, kept as notes: {'; '.join(left)}.", 80)
        click.echo("\n".join(lines), err=True)


def meta_of(file: CaseFile, name: str, written_at: str = "") -> SheetMeta:
    """What a case file says beside its readings: times, names, notes, the complaint."""
    # a diagnosis needs no pages, and they take long to import
    from crankpath.shell.outlets.pages.sheet.data import EntryMeta, SheetMeta, SheetNote

    told, notes = [], []
    for entry in file.entries:
        if isinstance(entry, NoteEntry):
            notes.append(SheetNote(entry.note or "", entry.at or "", entry.by or ""))
        else:
            told.append(EntryMeta(entry.at or "", entry.by or "", entry.note or ""))
    return SheetMeta(
        name=name,
        complaint=file.complaint or "",
        about=file.about or "",
        written_at=written_at,
        told=tuple(told),
        notes=tuple(notes),
    )
