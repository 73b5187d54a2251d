"""``crankpath desk``: the open cases in a table, or their hand-over, at once and without a session."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Sequence
from dataclasses import asdict
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from crankpath.shell.desk.table import desk_table
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.opened_store import opened_store
from crankpath.shell.store import CaseSummary
from crankpath.shell.text.clean import clean

if TYPE_CHECKING:
    from crankpath.shell.store import Store

_LEAST, _MOST = 40, 200
_CASES = 10_000


@click.command("desk")
@click.option("--search", metavar="WORDS", default="", help="Only cases that contain these words.")
@click.option("--all", "closed_too", is_flag=True, help="Closed cases too.")
@click.option("--due", is_flag=True, help="Only what is promised or unanswered, the most urgent first.")
@click.option("--handover", is_flag=True, help="Write each case for the next shift, not a table.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option(
    "--limit", default=50, show_default=True, type=click.IntRange(1, _CASES), help="Show at most this many."
)
@click.option(
    "--width", type=click.IntRange(_LEAST, _MOST), help="Width in columns; the terminal's by default."
)
@pass_folders
def command(
    folders: Folders,
    search: str,
    closed_too: bool,
    due: bool,
    handover: bool,
    as_json: bool,
    limit: int,
    width: int | None,
) -> None:
    """List the open cases: age, last entry, state and what each waits for, the last worked on first.

    With --handover: what is known of each, what was ruled out and by which reading, what is
    pending, promised and noted. Exit codes: 0 printed; 2 the store cannot be used; 3 the
    knowledge base cannot be used.

    \b
    Example:
      crankpath desk
      crankpath desk --handover --search loader
    """
    if handover and as_json:
        raise click.UsageError("Choose --handover or --json, not both.")
    now = datetime.now(UTC).isoformat(timespec="seconds")
    columns = width or _columns()
    with opened_store() as store:
        found = store.cases(open_only=not closed_too, search=search, limit=_CASES if due else limit + 1)
        if due:
            found = tuple(sorted((c for c in found if c.due or c.asked_at), key=_urgent))
        cases, more = found[:limit], len(found) > limit
        if as_json:
            lines = [json.dumps([asdict(case) for case in cases], indent=1)]
        elif handover:
            lines = _handovers(store, cases, folders, now, columns)
        else:
            lines = [clean(line) for line in desk_table(cases, now, columns)]
            lines += ["   There are more: --limit, --search and --due."] if more else []
    for line in lines:
        click.echo(line)


def _urgent(case: CaseSummary) -> tuple[bool, str]:
    """What is due first; then what is unanswered for longest."""
    return not case.due, case.due or case.asked_at


def _columns() -> int:
    given = os.environ.get("COLUMNS", "")
    size = int(given) if given.isdecimal() else shutil.get_terminal_size((80, 24)).columns
    return max(_LEAST, min(size, _MOST))


def _handovers(
    store: Store, cases: Sequence[CaseSummary], folders: Folders, now: str, width: int
) -> list[str]:
    from crankpath.shell.desk.handover import handover
    from crankpath.shell.session.state import case_state, machines

    kb = folders.load()
    empty = machines(kb)
    lines: list[str] = []
    for case in cases:
        state = case_state(kb, empty, case.id, store.events(case.id))
        lines += ["", *handover(state, now, width)] if lines else handover(state, now, width)
    return [clean(line) for line in lines] or ["There is no open case."]
