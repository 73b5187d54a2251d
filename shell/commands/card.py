"""``crankpath card FILE``: the next step as a page for a phone."""

from __future__ import annotations

from pathlib import Path

import click

from crankpath.engine.typed.names import sure
from crankpath.shell.casefiles import case_from
from crankpath.shell.files import write_page
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.pages import card_page


@click.command("card")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--out", required=True, type=click.Path(path_type=Path), help="The page to write.")
@click.option("--reading", metavar="NAME", help="A reading of your choice instead of the next step.")
@pass_folders
def command(folders: Folders, file: Path, out: Path, reading: str | None) -> None:
    """Write the next step of the case in FILE as a page for a phone, to be sent as one file.

    It shows the circuit with both leads, the cautions at their step, what each likely cause
    would read, and large buttons that put the reply together to copy or share; it needs no net.
    FILE is YAML as for `diagnose`. Exit codes: 0 written; 2 the file, the reading or the page
    cannot be used; 3 the knowledge base cannot be used.

    \b
    Example:
      crankpath card loader.yaml --out step.html
      crankpath card loader.yaml --reading "neg leg" --out neg.html
    """
    case, _ = case_from(file, folders)
    measurement = sure(reading, case.assessment.model.measurements) if reading else None
    write_page(out, card_page(case, measurement, "" if str(file) == "-" else file.stem))
    click.echo(f"Written: {out}", err=True)
