"""``crankpath kb physics [DIR]``: what the rules expect beside what solved machines show."""

from __future__ import annotations

import sys

import click

from crankpath.engine.errors import KnowledgeError, UnknownName
from crankpath.engine.knowledge.problems import near
from crankpath.engine.trials.physics_check import Comparison, compare, lacking, worst_first
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.knowledge import problem_line
from crankpath.shell.outlets.reports.physics import physics_lines


@click.command("physics")
@click.argument("folder", metavar="[DIR]", required=False)
@click.option(
    "--draws", default=40, show_default=True, type=click.IntRange(1), help="Machines per fault and degree."
)
@click.option("--top", default=20, show_default=True, type=click.IntRange(1), help="How many to list.")
@click.option("--fault", "faults", multiple=True, help="Only this fault; can be repeated.")
@click.option("--by-complaint", is_flag=True, help="Tell machines apart by what they do in start.")
@click.option("--parameters", default="first", show_default=True, help="Parameter set of the machines.")
@click.option("--seed", default=1, show_default=True, help="The same seed draws the same machines.")
@pass_folders
def command(
    folders: Folders,
    folder: str | None,
    draws: int,
    top: int,
    faults: tuple[str, ...],
    by_complaint: bool,
    parameters: str,
    seed: int,
) -> None:
    """Solve machines with each fault built in and hold the rules against their readings.

    Lists the disagreements, worst first: by the bits that a reading misleads on average,
    with 5, 50 and 95 % of what was read and of what the rule expects, the rule's file and
    line, and what it says of itself. What a shop added that the machine lacks is named. How a
    machine fails tells how bad the fault is: --by-complaint finds rules that are right on
    average only.

    \b
    Example:
      crankpath kb physics --fault positive_cable --draws 100
    """
    kb, problems = folders.over(folder).read()
    if kb is None:
        raise KnowledgeError("\n".join(problem_line(problem) for problem in problems))
    for fault in faults:
        if fault not in kb.faults:
            raise UnknownName(f"There is no fault '{fault}'. {near(fault, kb.faults)}".rstrip())
    found: list[Comparison] = []
    names = faults or tuple(kb.faults)
    with click.progressbar(length=len(names), label="faults", width=30, file=sys.stderr) as progress:
        for fault in names:
            for batch in compare(kb, draws, seed, parameters, [fault], by_complaint):
                found.extend(batch)
            progress.update(1)
    missing = lacking(kb, parameters)
    for line in physics_lines(kb, worst_first(found)[:top], len(found), missing):
        click.echo(line)
