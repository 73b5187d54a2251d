"""``crankpath sheet FILE``: the whole case on one sheet, as a page, text or JSON."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import click

from crankpath.shell.casefiles import case_from, meta_of, write_page
from crankpath.shell.pages import sheet_html, sheet_json, sheet_of, sheet_text


@click.command("sheet")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--html", type=click.Path(path_type=Path), help="Write a page to print to this file.")
@click.option("--text", "as_text", is_flag=True, help="Print plain text; so it is without any option.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option("--width", default=80, show_default=True, type=click.IntRange(60, 200), help="Columns of text.")
@click.option("--machine", default="", help="Name of the machine, to stand on top.")
@click.pass_obj
def command(
    folder: str | None, file: Path, html: Path | None, as_text: bool, as_json: bool, width: int, machine: str
) -> None:
    """Write up the case in FILE: readings with limits, cause, what was ruled out, repair, proof.

    FILE is YAML as for `diagnose` (- reads from standard input). The page needs no net and
    prints to one or two sheets of paper. Exit codes: 0 written; 2 the file, a reading in it
    or the file to write cannot be used; 3 the knowledge base cannot be used.

    \b
    Example:
      crankpath sheet loader.yaml --html loader.html --machine "wheel loader 7"
      crankpath sheet loader.yaml --json
    """
    if as_text and as_json:
        raise click.UsageError("Choose one of --text and --json.")
    case, written = case_from(file, folder)
    name = "" if str(file) == "-" else file.stem
    at = datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC")
    meta = meta_of(written, name, at)
    sheet = sheet_of(case, replace(meta, machine=machine))
    if html is not None:
        write_page(html, sheet_html(sheet))
        click.echo(f"Written: {html}", err=True)
    if as_json:
        click.echo(sheet_json(sheet))
    elif as_text or html is None:
        click.echo(sheet_text(sheet, width), nl=False)
