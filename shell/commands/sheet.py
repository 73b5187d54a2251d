"""``crankpath sheet FILE``: the whole case on one sheet, as a page, text or JSON."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import click

from crankpath.shell.casefiles import case_from, meta_of
from crankpath.shell.desk.find_case import find_case
from crankpath.shell.desk.sheet import case_sheet, pictures_of
from crankpath.shell.files import write_page
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.opened_store import opened_store
from crankpath.shell.outlets.pages import Sheet, sheet_html, sheet_json, sheet_of, sheet_text
from crankpath.shell.session.state import case_state, machines
from crankpath.shell.store.order import local_time
from crankpath.shell.text.clean import one_line


@click.command("sheet")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option(
    "--case", "meant", metavar="NAME", help="A stored case instead of a file, by number or words."
)
@click.option("--html", type=click.Path(path_type=Path), help="Write a page to print to this file.")
@click.option("--text", "as_text", is_flag=True, help="Print plain text (the default).")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option("--width", default=80, show_default=True, type=click.IntRange(60, 200), help="Columns of text.")
@click.option("--machine", default="", help="Name of the machine, for the heading.")
@click.option("--job", default="", help="Number of the job.")
@click.option("--serial", default="", help="Serial number of the machine.")
@click.option("--hours", default="", help="Hours or distance it has run.")
@click.option("--reference", default="", help="The customer's own reference.")
@pass_folders
def command(
    folders: Folders, file: Path | None, meant: str | None, html: Path | None, as_text: bool, as_json: bool,
    width: int, machine: str, job: str, serial: str, hours: str, reference: str,
) -> None:  # fmt: skip
    """Write up a case: readings with limits, cause, what was ruled out, repair, proof.

    FILE is YAML as for `diagnose` (- reads from standard input); --case takes a case of the
    store instead. The page needs no net and prints to one or two sheets of paper. Exit codes:
    0 written; 2 the file, the case, a reading in it or the file to write cannot be used; 3 the
    knowledge base cannot be used.

    \b
    Example:
      crankpath sheet loader.yaml --html loader.html --machine "wheel loader 7" --job 4711 --hours 8210
      crankpath sheet loader.yaml --json
      crankpath sheet --case "loader 7" --html loader.html
    """
    if as_text and as_json:
        raise click.UsageError("Choose --text or --json, not both.")
    at = local_time(datetime.now(UTC).isoformat())
    pictures: dict[str, str] = {}
    if file is not None and meant is None:
        sheet = _of_file(file, folders, at, machine)
    elif meant is not None and file is None:
        sheet, pictures = _of_store(meant, folders, at, machine)
    else:
        raise click.UsageError("Name either a file or, with --case, a case of the store.")
    fields = (("job", job), ("serial", serial), ("hours", hours), ("reference", reference))
    told = dict(sheet.fields) | {name: one_line(text, 120) for name, text in fields if text}
    sheet = replace(sheet, fields=tuple(told.items()))
    if html is not None:
        write_page(html, sheet_html(sheet, pictures))
        click.echo(f"Written: {html}", err=True)
    if as_json:
        click.echo(sheet_json(sheet))
    elif as_text or html is None:
        click.echo(sheet_text(sheet, width), nl=False)


def _of_file(file: Path, folders: Folders, at: str, machine: str) -> Sheet:
    case, written = case_from(file, folders)
    meta = meta_of(written, "" if str(file) == "-" else file.stem, at)
    return sheet_of(case, replace(meta, machine=machine))


def _of_store(meant: str, folders: Folders, at: str, machine: str) -> tuple[Sheet, dict[str, str]]:
    """The sheet of a stored case, and a small picture of each of its photos."""
    with opened_store() as store:
        found = find_case(store, meant)
        kb = folders.load()
        state = case_state(kb, machines(kb), found.id, store.events(found.id))
        sheet = case_sheet(state, at, machine)
        return sheet, pictures_of(sheet, store.place)
