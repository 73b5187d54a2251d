"""``crankpath kb diff A B``: what a change of the knowledge base does."""

from __future__ import annotations

import sys

import click

from crankpath.engine.cases.casefile import CaseFile, read_case
from crankpath.engine.knowledge.folders import SHIPPED
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.physics.tables import PhysicsError
from crankpath.engine.solved.drawn.draw import must_fit
from crankpath.engine.trials.difference import (
    CaseChange,
    MachineChange,
    case_change,
    entry_changes,
    machine_changes,
)
from crankpath.shell.exits import EXIT_FINE, EXIT_STUCK
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.difference import difference_lines


@click.command("diff")
@click.argument("before", metavar="A")
@click.argument("after", metavar="B")
@click.option(
    "--machines", "-n", default=12, show_default=True, type=click.IntRange(0), help="Machines drawn."
)
@click.option("--seed", default=1, show_default=True, help="The same seed draws the same machines.")
@click.option(
    "--parameters", default="first", show_default=True, help="Parameter set of the solved machines."
)
@pass_folders
def command(folders: Folders, before: str, after: str, machines: int, seed: int, parameters: str) -> None:
    """Tell what changes when the shop's folder or .zip A gives way to B; 'shipped' means no folder.

    Entries field by field; then the cases of both and N drawn machines on which verdict, ranking
    or next reading change, worst first. Exit codes: 0 nothing comes out differently; 1 something
    does; 3 a knowledge base cannot be used.

    \b
    Example:
      crankpath kb diff shipped our-shop
      crankpath kb diff our-shop our-shop-new.zip --machines 60
    """
    both = [folders.below.over(None if name == SHIPPED else name) for name in (before, after)]
    old, new = (one.load() for one in both)
    cases = _cases(old, new, both)
    try:
        must_fit(old)
        drawn = _machines(old, new, machines, seed, parameters)
    except PhysicsError as slip:  # the cases are told all the same
        click.echo(f"No machines are drawn. {slip}", err=True)
        drawn = []
    for line in difference_lines(entry_changes(old, new), cases, drawn, seed):
        click.echo(line)
    otherwise = any(c.shift.what for c in cases) or any(m.what or m.trouble for m in drawn)
    sys.exit(EXIT_STUCK if otherwise else EXIT_FINE)


def _cases(old: Knowledge, new: Knowledge, folders: list[Folders]) -> list[CaseChange]:
    files: dict[tuple[str, bytes], CaseFile] = {}
    for one in folders:
        for _, file, text in one.cases():
            if isinstance(text, bytes) and (file, text) not in files:
                case, _ = read_case(text, file)  # kb test tells the slips of a case file
                if case is not None:
                    files[file, text] = case
    with click.progressbar(files.items(), label="cases", width=30, file=sys.stderr) as progress:
        return [case_change(old, new, file, case) for (file, _), case in progress]


def _machines(old: Knowledge, new: Knowledge, count: int, seed: int, parameters: str) -> list[MachineChange]:
    changes = machine_changes(old, new, count, seed, parameters)
    with click.progressbar(changes, length=count, label="machines", width=30, file=sys.stderr) as progress:
        return list(progress)
