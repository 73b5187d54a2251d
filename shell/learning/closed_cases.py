"""Closed cases, from a store or from a folder of case files, each read only when it is asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import CaseFile, read_case
from crankpath.engine.cases.replay import replay
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.learning.closed_case import ClosedCase, confirmed_faults, grouped
from crankpath.shell.files import is_there, named_path, read_named
from crankpath.shell.opened_store import opened_store
from crankpath.shell.session.state import case_state, machines

if TYPE_CHECKING:
    from crankpath.shell.store import Store

_PAGE = 5000


class UnreadCase(NamedTuple):
    """A closed case that was not read yet. causes: those that were confirmed, as far as that is known."""

    id: str
    name: str
    causes: tuple[str, ...]


Reader = Callable[[UnreadCase, Knowledge], ClosedCase | str]
"""Reads a case under some knowledge; a sentence says why it cannot be counted."""


@contextmanager
def closed_cases(place: str | None) -> Iterator[tuple[Sequence[UnreadCase], Reader]]:
    """The closed cases at a place, the latest first, and what reads one.

    Args:
        place: a folder of case files, or a store; the user's own for None.

    Raises:
        CaseError: there is nothing at that place. StoreError: the store cannot be opened.
    """
    path = named_path(place) if place and "://" not in place else None
    if path is not None and not is_there(path):
        raise CaseError(f"{place}: there is no such folder or store. Check the name.")
    if path is not None and path.is_dir() and (files := _case_files(path)):
        yield [UnreadCase(str(file), str(file.relative_to(path)), ()) for file in files], _of_file
        return
    with opened_store(place) as store:
        yield list(_in_store(store)), lambda filed, kb: _of_store(store, filed, kb)


def _in_store(store: Store) -> Iterator[UnreadCase]:
    offset = 0
    while page := store.cases(open_only=False, limit=_PAGE, offset=offset):
        yield from (UnreadCase(one.id, one.name, one.causes) for one in page if one.state == "closed")
        offset += len(page)


def _of_store(store: Store, filed: UnreadCase, kb: Knowledge) -> ClosedCase | str:
    strange = [cause for cause in filed.causes if cause not in kb.faults]
    if strange:
        return f"{filed.name}: the knowledge base lists no {', '.join(strange)}"
    case = case_state(kb, machines(kb), filed.id, store.events(filed.id)).case
    found = grouped(filed.causes, kb.faults) or _cured(case)
    return ClosedCase(filed.name, case, found) if found else f"{filed.name}: closed with no confirmed cause"


def _case_files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*.y*ml") if path.suffix in (".yaml", ".yml"))


def _of_file(filed: UnreadCase, kb: Knowledge) -> ClosedCase | str:
    written, problems = read_case(read_named(Path(filed.id)), filed.name)
    replayed = replay(kb, written) if written is not None else None
    problems = problems if replayed is None else replayed.problems
    if problems or written is None or replayed is None or replayed.case is None:
        return f"{filed.name}: {problems[0].message if problems else 'it cannot be used'}"
    found = _expected(written) or _cured(replayed.case)
    if not found:
        what = written.about or "a case"
        return f"{what}: no repair that cured, and no 'expect: {{first: ...}}'"
    return ClosedCase(filed.name, replayed.case, found)


def _expected(written: CaseFile) -> tuple[tuple[str, ...], ...]:
    """What the case file says was found."""
    first = written.expect.first if written.expect is not None else None
    return ((first,),) if first is not None else ()


def _cured(case: Case) -> tuple[tuple[str, ...], ...]:
    """One of the faults that were repaired, where a repair cured."""
    faults = confirmed_faults(case)
    return (faults,) if faults else ()
