"""``crankpath kb explain FILE FAULT``: a chance, accounted for down to the lines of YAML."""

from __future__ import annotations

from pathlib import Path

import click

from crankpath.engine.advice.accounting import account
from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import NOT_LISTED
from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.problems import near
from crankpath.shell.casefiles import case_from
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.explanation import WIDTH, account_lines


@click.command("explain")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("fault", required=False)
@click.option(
    "--width", default=WIDTH, show_default=True, type=click.IntRange(60, 200), help="Width in columns."
)
@pass_folders
def command(folders: Folders, file: Path, fault: str | None, width: int) -> None:
    """Account for the chance of FAULT in the case in FILE; without FAULT, of the likeliest.

    Prints the share it starts from, and for each reading the limits, the rule, the chances with
    the fault and without, each with file and line; then the product, checked against what the
    case states. FAULT is an id or 'not_listed'; FILE is YAML as for `diagnose`.

    \b
    Example:
      crankpath kb explain loader.yaml positive_cable
    """
    case, _ = case_from(file, folders)
    wanted = case.causes()[0].fault if fault is None else _fault(case, fault)
    for line in account_lines(case.kb, account(case.assessment, wanted), width):
        click.echo(line)


def _fault(case: Case, name: str) -> str | None:
    if name == NOT_LISTED:
        return None
    here = case.assessment.model.elements_of
    if name in here:
        return name
    if name in case.kb.faults:
        raise UnknownName(f"The machine of this case cannot have '{name}': its equipment says so.")
    raise UnknownName(f"There is no fault '{name}'. {near(name, [*here, NOT_LISTED])}".rstrip())
