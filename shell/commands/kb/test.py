"""``crankpath kb test [DIR]``: the cases of the knowledge base, each held against what it expects."""

from __future__ import annotations

import sys

import click

from crankpath.engine.errors import CaseError, KnowledgeError
from crankpath.engine.knowledge.loading import told
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.engine.trials.case_check import CaseResult, check_text
from crankpath.shell.exits import EXIT_FINE, EXIT_STUCK
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.knowledge import result_lines


@click.command("test")
@click.argument("folder", metavar="[DIR]", required=False)
@pass_folders
def command(folders: Folders, folder: str | None) -> None:
    """Run the cases of the knowledge base with the shop's folder or .zip DIR laid over it.

    The shipped cases run too: they show whether the shop's folder changed what came out before.
    Exit codes: 0 everything came out as it must; 1 something did not; 2 there is no case;
    3 the knowledge base cannot be used.

    \b
    Example:
      crankpath kb test our-shop
    """
    folders = folders.over(folder)
    kb, problems = folders.read()
    if kb is None:
        raise KnowledgeError(told(problems))
    cases = folders.cases()
    if not cases:
        raise CaseError("There is no case to run. Write one into the folder 'cases' of the knowledge base.")
    failed: list[tuple[str, CaseResult]] = []
    with click.progressbar(cases, label="cases", width=30, file=sys.stderr) as progress:
        for name, file, text in progress:
            result = run_case(kb, file, text)
            if not result.passed:
                failed.append((name, result))
    for name, result in failed:
        click.echo("\n".join(result_lines(result, name)))
    click.echo(f"{len(cases) - len(failed)} of {len(cases)} cases came out as required.")
    sys.exit(EXIT_STUCK if failed else EXIT_FINE)


def run_case(kb: Knowledge, file: str, text: bytes | str) -> CaseResult:
    """Check one case file; a text instead of bytes says why it could not be read."""
    if isinstance(text, str):
        here = Origin(file, 1, 1)
        return CaseResult(file, "", here, (Problem(here, text),))
    return check_text(kb, text, file)
