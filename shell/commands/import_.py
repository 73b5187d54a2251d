"""``crankpath import FILE``: a case from a YAML file into the store."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from crankpath.engine.loading import load_knowledge
from crankpath.shell.files import read_text
from crankpath.shell.session.transfer import events_of_text
from crankpath.shell.store import open_store


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.pass_obj
def command(folder: str | None, file: Path) -> None:
    """Take the case in FILE, as `export` writes it, into the store as a new case (- reads standard input).

    A file with a slip is refused whole; every slip is told with its line.

    \b
    Example:
      crankpath import loader.yaml
    """
    kb = load_knowledge(*([folder] if folder else []))
    name, writes = events_of_text(read_text(file), str(file), kb)
    store = open_store()
    case = store.create_case(name, at=_now(), by="technician").case_id
    for write in writes:
        store.append(case, write.kind, write.body, at=_now(), by="technician")
    store.close()
    click.echo(f"{name}: taken in, {len(writes)} entries. In a session, cases lists it first.")


def _now() -> str:
    return datetime.now(UTC).isoformat()
