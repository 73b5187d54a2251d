"""Closed cases with a confirmed cause, from a store or from a folder of case files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import CaseFile, RepairedEntry, read_case
from crankpath.engine.cases.learning import Closed
from crankpath.engine.cases.replay import replay
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.files import is_there, named_path, read_text
from crankpath.shell.opened_store import opened_store
from crankpath.shell.session.state import case_state, machines
from crankpath.shell.store import CaseSummary, Store

_PAGE = 200


@dataclass(frozen=True, slots=True)
class Found:
    """Closed cases, and a sentence for each case that cannot be counted."""

    closed: tuple[Closed, ...]
    left_out: tuple[str, ...]


def closed_cases(place: str | None, kb: Knowledge) -> Found:
    """The closed cases at a place: a folder of case files, or a store (the user's own for None).

    Raises:
        CaseError: there is nothing at that place. StoreError: the store cannot be opened.
    """
    path = named_path(place) if place and "://" not in place else None
    if path is not None and not is_there(path):
        raise CaseError(f"{place}: there is no such folder or store. Check the name.")
    if path is not None and is_there(path) and path.is_dir() and _case_files(path):
        return _sorted_out(_of_folder(path, kb), kb)
    with opened_store(place) as store:
        return _sorted_out(_of_store(store, kb), kb)


def _sorted_out(found: Iterator[Closed | str], kb: Knowledge) -> Found:
    closed, left_out = [], []
    for one in found:
        if isinstance(one, str):
            left_out.append(one)
            continue
        strange = [cause for cause in one.causes if cause not in kb.faults]
        if strange:
            left_out.append(f"{one.name}: the knowledge base lists no {', '.join(strange)}")
        else:
            closed.append(one)
    return Found(tuple(closed), tuple(left_out))


def _of_store(store: Store, kb: Knowledge) -> Iterator[Closed | str]:
    empty = machines(kb)
    for summary in _summaries(store):
        if summary.state != "closed":
            continue
        if not summary.causes:
            yield f"{summary.name}: closed with no confirmed cause"
            continue
        state = case_state(kb, empty, summary.id, store.events(summary.id))
        yield Closed(summary.name, state.case, state.causes)


def _summaries(store: Store) -> Iterator[CaseSummary]:
    offset = 0
    while page := store.cases(open_only=False, limit=_PAGE, offset=offset):
        yield from page
        offset += len(page)


def _case_files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*.y*ml") if path.suffix in (".yaml", ".yml"))


def _of_folder(folder: Path, kb: Knowledge) -> Iterator[Closed | str]:
    for path in _case_files(folder):
        name = str(path.relative_to(folder))
        written, problems = read_case(read_text(path), name)
        replayed = replay(kb, written) if written is not None else None
        problems = problems if replayed is None else replayed.problems
        if problems or written is None or replayed is None or replayed.case is None:
            yield f"{name}: {problems[0].message if problems else 'it cannot be used'}"
            continue
        causes = _confirmed(written, replayed.case)
        yield causes if isinstance(causes, str) else Closed(name, replayed.case, causes)


def _confirmed(written: CaseFile, case: Case) -> tuple[str, ...] | str:
    """What the case file says was found: ``expect: first``, or the one fault of the repair that cured."""
    if written.expect is not None and written.expect.first is not None:
        return (written.expect.first,)
    cures = [e.repair for e in written.entries if isinstance(e, RepairedEntry) and e.cured]
    what = written.about or "a case"
    if not cures:
        return f"{what}: no repair that cured, and no 'expect: {{first: ...}}'"
    cured = [fault.id for fault in case.assessment.model.faults.values() if fault.repair == cures[-1]]
    if len(cured) != 1:
        return (
            f"{what}: {cures[-1]} cures {len(cured)} faults; say which it was with 'expect: {{first: ...}}'"
        )
    return (cured[0],)
