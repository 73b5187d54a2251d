"""``crankpath kb use DIR``: set the shop's folder once, for every later run."""

from __future__ import annotations

from pathlib import Path

import click

from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.shell.settings import choose_folder, chosen_folder


@click.command("use")
@click.argument("folder", metavar="[DIR]", required=False)
@click.option("--none", "nothing", is_flag=True, help="Use the shipped knowledge alone from now on.")
def command(folder: str | None, nothing: bool) -> None:
    """Lay the shop's folder or .zip DIR over the shipped knowledge in every later run.

    Without DIR, tells what is set. `crankpath --kb OTHER` takes another one for one run.

    \b
    Example:
      crankpath kb use our-shop
    """
    if folder and nothing:
        raise CaseError("Give a folder, or --none, not both.")
    if nothing:
        choose_folder(None)
    elif folder:
        path = Path(folder).expanduser().resolve()
        load_knowledge(path)  # what cannot be used is refused now, not in front of the machine
        choose_folder(str(path))
    chosen = chosen_folder()
    alone = "The shipped knowledge alone is used."
    click.echo(f"Laid over the shipped knowledge: {chosen}" if chosen else alone)
