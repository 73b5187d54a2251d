"""``crankpath kb learn``: what the shop's closed cases say of the knowledge base."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import click

from crankpath.engine.cases.learning import WORTH, misleading, share_changes, stated_chances
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.closed_cases import closed_cases
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.account import place
from crankpath.shell.outlets.reports.learning import (
    FIRST_LINE,
    LEARNED,
    calibration_lines,
    misleading_lines,
    proposal,
    share_lines,
)


@click.command("learn")
@click.option(
    "--from",
    "source",
    metavar="STORE|FOLDER",
    help="A store, or a folder of case files; your store by default.",
)
@click.option(
    "--write", type=click.Path(path_type=Path, dir_okay=False), help="Accept: write the new shares here."
)
@click.option(
    "--worth", type=click.FloatRange(1), help=f"How many cases the stated shares count as (setting {WORTH})."
)
@pass_folders
def command(folders: Folders, source: str | None, write: Path | None, worth: float | None) -> None:
    """Weigh the closed cases: how often each fault was found, which rules misled, did chances hold.

    Nothing is changed but with --write: then the new shares go to that file as YAML for the
    shop's folder. In a folder of case files the cause is `expect: {first: ...}`, or the fault
    that the repair which cured is for. Run again, it begins from the shares stated before.

    \b
    Example:
      crankpath kb learn
      crankpath kb learn --from closed-cases --write our-shop/learned_shares.yaml
    """
    kb = folders.load()
    below = folders.below.load()
    base = _unlearned(kb, below)
    weight = worth or base.settings.values.get(WORTH) or below.settings[WORTH]
    found = closed_cases(source, kb)
    confirmed = Counter(cause for one in found.closed for cause in one.causes)
    machines = [one.case.assessment.model for one in found.closed]
    changes = share_changes(base, confirmed, weight, [replace(model, kb=base) for model in machines])
    cases = confirmed.total()
    reports = (
        share_lines(changes, cases, weight),
        misleading_lines(kb, misleading(found.closed)),
        calibration_lines(stated_chances(found.closed)),
    )
    click.echo("\n\n".join("\n".join(lines) for lines in reports))
    if found.left_out:
        click.echo("\nNot counted:\n" + "\n".join(f"  {sentence}" for sentence in found.left_out))
    if write is not None:
        _write(write, proposal(changes, cases, weight, _taken(kb, write)) if cases else "")


def _unlearned(kb: Knowledge, shipped: Knowledge) -> Knowledge:
    """The knowledge with the shares as they were before any learning, so that no case counts twice."""
    faults = dict(kb.faults)
    for id_, fault in kb.faults.items():
        learned = any(LEARNED in share.sources for share in fault.shares)
        if learned and id_ in shipped.faults:
            faults[id_] = replace(fault, shares=shipped.faults[id_].shares)
    return replace(kb, faults=faults)


def _taken(kb: Knowledge, file: Path) -> dict[str, str]:
    """Faults that stand in the folder of the file, in another file of it, and where."""
    folder = file.resolve().parent
    found = {}
    for id_, fault in kb.faults.items():
        key = f"faults/{id_}"
        at = Path(kb.layers[key]).resolve() / fault.origin.file
        if folder in at.parents and at != file.resolve():
            found[id_] = place(kb, key, fault.origin)
    return found


def _write(file: Path, text: str) -> None:
    if not text:
        click.echo("\nNothing to write: no share changes.")
        return
    try:
        if file.exists() and not file.read_text("utf-8").startswith(FIRST_LINE):
            raise CaseError(f"{file} exists already and was not made by this command; name another file.")
        file.write_text(text, encoding="utf-8")
    except (OSError, UnicodeDecodeError) as slip:
        raise CaseError(f"{file} cannot be written ({slip}). Name another file.") from None
    click.echo(f"\nWritten: {file}. Look through it, then: crankpath kb check {file.parent}")
