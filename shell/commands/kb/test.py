"""``crankpath kb test [DIR]``: the cases of the knowledge base, each held against what it expects."""

from __future__ import annotations

import re
import sys

import click

from crankpath.engine.errors import CaseError, KnowledgeError
from crankpath.engine.knowledge.loading import problem_message
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

    The shipped cases run too: they show whether the shop's folder changed what came out before. The
    folder's own cases come first, then those that what it changes speaks of; a failure is told at once.
    Exit codes: 0 everything came out as it must; 1 something did not; 2 there is no case;
    3 the knowledge base cannot be used.

    \b
    Example:
      crankpath kb test our-shop
    """
    folders = folders.over(folder)
    kb, problems = folders.read()
    if kb is None:
        raise KnowledgeError(problem_message(problems))
    cases = folders.cases()
    if not cases:
        raise CaseError("There is no case to run. Write one into the folder 'cases' of the knowledge base.")
    words = _own_words(kb)
    cases.sort(key=lambda case: (case[0] != kb.folders[-1], -_mentioned(case[2], words)))
    failed = 0
    with click.progressbar(cases, label="cases", width=30, file=sys.stderr) as progress:
        for name, file, text in progress:
            result = run_case(kb, file, text)
            if not result.passed:
                failed += 1
                click.echo("\n".join(result_lines(result, name)))  # at once: the others may take a while
    click.echo(f"{len(cases) - failed} of {len(cases)} cases came out as required.")
    sys.exit(EXIT_STUCK if failed else EXIT_FINE)


def _own_words(kb: Knowledge) -> frozenset[str]:
    """The ids that the latest folder writes, and the faults and readings that its rules speak of."""
    latest = kb.folders[-1] if len(kb.folders) > 1 else None
    own = [key.split("/", 1) for key, folder in kb.layers.items() if folder == latest]
    rules = [kb.rules[id_] for section, id_ in own if section == "rules"]
    spoken = {id_ for rule in rules for id_ in (*rule.faults.ids, *rule.measurements.ids)}
    return frozenset({id_ for _, id_ in own} | spoken)


def _mentioned(text: bytes | str, words: frozenset[str]) -> int:
    """How many of the words stand in a case."""
    said = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
    return len(words & set(re.findall(r"\w+", said)))


def run_case(kb: Knowledge, file: str, text: bytes | str) -> CaseResult:
    """Check one case file; a text instead of bytes says why it could not be read."""
    if isinstance(text, str):
        here = Origin(file, 1, 1)
        return CaseResult(file, "", here, (Problem(here, text),))
    return check_text(kb, text, file)
