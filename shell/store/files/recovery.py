"""A damaged store: set aside, and as many of its entries as can be read in a new one."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from itertools import chain
from pathlib import Path

from crankpath.shell.store.errors import BadEvent
from crankpath.shell.store.files.file_watch import mark_of
from crankpath.shell.store.files.leaf_pages import Value, rows
from crankpath.shell.store.order import next_stamp, ordered
from crankpath.shell.store.plain import from_plain
from crankpath.shell.store.records import Event
from crankpath.shell.store.sql.rows import read_event

_FIRST_COLUMNS = 8  # of an entry in version 1, which had no stamp and no digest
_COLUMNS = 10
_ATTACHED = ("-wal", "-shm")


def put_in_place(fresh: Path, path: Path) -> Path:
    """Keep a damaged store and its log under the first free name and put a new one in its place.

    At every moment there is a file at `path`, the damaged or the new one, and a log is
    never beside a file it does not belong to. As long as `fresh` exists the change is
    not complete, and `earlier_asides` may hold entries that `path` has lost.

    Returns:
        The name under which the damaged file is kept.

    Raises:
        OSError: the folder cannot be written.
    """
    number = 1
    while (aside := path.with_name(f"{path.name}.damaged-{number}")).exists():
        number += 1
    try:
        aside.hardlink_to(path)
    except OSError:  # a file system without links
        shutil.copy2(path, aside)
    for end in _ATTACHED:
        with suppress(FileNotFoundError):
            Path(f"{path}{end}").rename(f"{aside}{end}")
    fresh.replace(path)
    mark_of(path).unlink(missing_ok=True)
    return aside


def earlier_asides(path: Path) -> list[Path]:
    """Return the damaged files kept of a store before."""
    kept = path.parent.iterdir()
    return [f for f in kept if f.name.startswith(path.name + ".damaged-") and f.name[-1].isdigit()]


def readable_cases(files: Iterable[Path]) -> list[tuple[str, tuple[Event, ...]]]:
    """Return (case id, events in order) of all entries in damaged files that are true.

    Cases come in the order of their first entry. Entries keep their numbers unless two
    of a case have the same.
    """
    found: dict[str, dict[str, Event]] = {}
    for event in chain.from_iterable(map(_events, files)):
        found.setdefault(event.case_id, {})[event.id] = event
    cases = [(case_id, _in_order(list(events.values()))) for case_id, events in found.items()]
    return sorted(cases, key=lambda case: case[1][0].stamp)


def _events(aside: Path) -> Iterator[Event]:
    log = aside.with_name(aside.name + "-wal")
    for row in rows(aside, log, range(_FIRST_COLUMNS, _COLUMNS + 1)):
        event = read_event(row) if len(row) == _COLUMNS else _first_event(row)
        if event is not None:
            yield event


def _first_event(row: tuple[Value, ...]) -> Event | None:
    """Return an entry of version 1 if the row has the shape of one; stamped later."""
    event_id, case_id, sequence, kind, body, at, by, origin = row[:_FIRST_COLUMNS]
    try:
        data = {"id": event_id, "kind": kind, "at": at, "by": by, "origin": origin}
        event = from_plain(str(case_id), {**data, "body": json.loads(str(body))})
    except (BadEvent, ValueError, RecursionError):
        return None
    return replace(event, sequence=sequence, stamp="") if isinstance(sequence, int) and sequence > 0 else None


def _in_order(events: list[Event]) -> tuple[Event, ...]:
    """Stamp entries of version 1 and give numbers anew where they are not unique."""
    if any(not event.stamp for event in events):
        last, stamped = "", []
        for event in sorted(events, key=lambda e: e.sequence):
            last = next_stamp(event.at, last)
            stamped.append(replace(event, stamp=event.stamp or last))
        events = stamped
    if len({event.sequence for event in events}) < len(events):
        events = [replace(event, sequence=n) for n, event in enumerate(ordered(events), 1)]
    return ordered(events)
