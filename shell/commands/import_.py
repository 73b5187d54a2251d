"""``crankpath import FILE``: a case from a file into the store; a whole one is merged."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.exported_case import whole_case
from crankpath.shell.desk.merging import merged
from crankpath.shell.files import read_named
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.opened_store import opened_store
from crankpath.shell.session.transfer import events_of_text
from crankpath.shell.text.clean import one_line


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@pass_folders
def command(folders: Folders, file: Path) -> None:
    """Take the case in FILE, as `export` writes it, into the store as a new case (- reads standard input).

    A file that `export --whole` wrote is merged into the same case: entries that are lacking go
    in, none is lost, and matters on which the two copies differ are shown. A file with a slip is
    refused whole; every slip is told with its line.

    \b
    Example:
      crankpath import loader.yaml
    """
    kb = folders.load()
    text = read_named(file)
    if (whole := whole_case(text)) is not None:
        _merge(whole, kb)
        return
    name, writes = events_of_text(text, str(file), kb)
    with opened_store() as store:
        store.create_case(name, at=_now(), entries=writes)
    click.echo(f"{name}: imported, {len(writes)} entries. In a session, the word cases lists it first.")


def _merge(whole: object, kb: Knowledge) -> None:
    with opened_store() as store:
        report = store.import_case(whole)
        name = store.case(report.case_id).name
        lines = merged(kb, report, store.events(report.case_id))
    for line in lines:
        click.echo(f"{one_line(name, 80)}: {line}")


def _now() -> str:
    return datetime.now(UTC).isoformat()
