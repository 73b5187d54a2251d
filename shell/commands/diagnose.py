"""``crankpath diagnose FILE``: a file of readings in, causes and what to do next out."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import click

from crankpath.shell.casefiles import read_into_case
from crankpath.shell.exits import EXIT_FINE, EXIT_REFUSED, EXIT_STUCK
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.diagnosis import diagnosis
from crankpath.shell.outlets.reports.diagnosis_data import diagnosis_data


@click.command("diagnose")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")
@click.option(
    "--width", default=80, show_default=True, type=click.IntRange(40, 200), help="Width in columns."
)
@pass_folders
def command(folders: Folders, file: Path, as_json: bool, width: int) -> None:
    """Rank the causes for the readings in FILE and say what to do next.

    FILE is YAML: the machine, the complaint and the readings as typed (- reads from standard
    input). Exit codes: 0 a verdict; 1 nothing listed explains the readings, or a stop; 2 the file or a
    reading in it cannot be used; 3 the knowledge base cannot be used.

    \b
    Example file:
      equipment: {system_voltage: 12, duty: heavy}
      readings:
        crank_behaviour: slow
        positive_leg_drop: 820 mV

    \b
    Example:
      crankpath diagnose loader.yaml --json
    """
    case, _, problems = read_into_case(file, folders)
    for problem in problems:
        click.echo(str(problem), err=True)
    if case is None or problems:
        click.echo("Nothing was diagnosed. Correct the lines named and run it again.", err=True)
        sys.exit(EXIT_REFUSED)
    if as_json:
        click.echo(json.dumps(diagnosis_data(case), indent=2, ensure_ascii=False))
    else:
        click.echo("\n".join(diagnosis(case, width)))
    sys.exit(EXIT_STUCK if case.verdict().action in ("stuck", "stop") else EXIT_FINE)
