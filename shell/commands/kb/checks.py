"""``crankpath kb checks [ID]``: the list of checks, or one explained."""

from __future__ import annotations

import click

from crankpath.engine.checking.checks import CHECKS
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.problems import near


@click.command("checks")
@click.argument("check", metavar="[ID]", required=False)
def command(check: str | None) -> None:
    """List the checks of the knowledge base, or explain the check ID.

    \b
    Example:
      crankpath kb checks shadowed
    """
    if check is None:
        width = max(len(c.id) for c in CHECKS)
        for known in CHECKS:
            click.echo(f"{known.id:<{width}}  {known.title}")
        return
    found = next((known for known in CHECKS if known.id == check), None)
    if found is None:
        advice = near(check, [known.id for known in CHECKS])
        raise CaseError(f"There is no check '{check}'. {advice}".rstrip())
    click.echo(f"{found.id}: {found.explanation.strip()}")
    if found.silenceable:
        click.echo(f"\nIf it is intended, silence it in any file of the folder::\n\n{_silence(found.id)}")


def _silence(check: str) -> str:
    return f'    silence:\n      {check}: {{entries: [id], because: "why it is intended"}}'
