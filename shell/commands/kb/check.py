"""``crankpath kb check [DIR]``: every slip of a knowledge base at once."""

from __future__ import annotations

import gc
import json
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.exits import EXIT_FINE, EXIT_KNOWLEDGE, EXIT_STUCK
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.knowledge import annotation, problem_data, problem_line

if TYPE_CHECKING:
    from crankpath.engine.trials.physics_check import Comparison


@click.command("check")
@click.argument("folder", metavar="[DIR]", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")
@click.option("--annotations", is_flag=True, help="Print lines for a continuous-integration service.")
@click.option(
    "--physics", metavar="N", type=click.IntRange(1), help="Compare rules with N machines a fault."
)
@pass_folders
def command(
    folders: Folders, folder: str | None, as_json: bool, annotations: bool, physics: int | None
) -> None:
    """Check the knowledge base with the shop's folder or .zip DIR laid over it.

    Prints every slip as file:line:column, what is wrong, what to do, and the check's id in
    parentheses (`crankpath kb checks` explains it). Exit codes: 0 no slip; 1 slips of meaning;
    2 the command line cannot be used; 3 slips that keep the knowledge base from being used.

    \b
    Example:
      crankpath kb check our-shop
    """
    gc.disable()  # a quarter of the time of reading; all is needed until the end
    folders = folders.over(folder)
    kb, problems = folders.read()
    told: list[str] = []
    if kb is not None:
        # the checks bring networkx and the solved machine, which a folder that cannot be read spares
        from crankpath.engine.checking.checks import check_knowledge

        problems = check_knowledge(kb, _comparisons(kb, physics) if physics else ())
        if folders.own and not (as_json or annotations):
            from crankpath.engine.checking.laid_over import told_of_layers

            told = list(told_of_layers(folders.below.load(), kb, folders.paths[-1]))
    if as_json:
        click.echo(json.dumps([problem_data(p) for p in problems], indent=2, ensure_ascii=False))
    else:
        for problem in problems:
            click.echo(annotation(problem) if annotations else problem_line(problem))
        click.echo(_summary(kb, problems), err=annotations)
        if told:
            click.echo("\nTo be known, and no slips:\n" + "\n".join(f"  {sentence}" for sentence in told))
    sys.exit(EXIT_KNOWLEDGE if kb is None else EXIT_STUCK if problems else EXIT_FINE)


def _summary(kb: Knowledge | None, problems: tuple[Problem, ...]) -> str:
    if kb is None:
        return f"{_slips(problems)}; the knowledge base cannot be used, and its meaning was not checked."
    counted = f"{len(kb.faults)} faults, {len(kb.measurements)} measurements, {len(kb.rules)} rules"
    return f"{_slips(problems)} in {counted}."


def _slips(problems: tuple[Problem, ...]) -> str:
    return "No slips" if not problems else f"{len(problems)} slip{'s' if len(problems) > 1 else ''}"


def _comparisons(kb: Knowledge, draws: int) -> Iterator[Comparison]:
    from crankpath.engine.trials.physics_check import compare

    with click.progressbar(length=len(kb.faults), label="faults", width=30, file=sys.stderr) as progress:
        for fault in kb.faults:
            for batch in compare(kb, draws, seed=1, faults=[fault]):
                yield from batch
            progress.update(1)
