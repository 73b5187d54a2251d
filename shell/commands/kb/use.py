"""``crankpath kb use DIR``: set the shop's folder once, for every later run."""

from __future__ import annotations

import click

from crankpath.engine.errors import CaseError
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.settings import ALONE, choose_folders, chosen_folder


@click.command("use")
@click.argument("folder", metavar="[DIR]", required=False)
@click.option("--none", "nothing", is_flag=True, help="Use the shipped knowledge alone from now on.")
@pass_folders
def command(folders: Folders, folder: str | None, nothing: bool) -> None:
    """Lay the shop's folder or .zip DIR over the shipped knowledge in every later run.

    With --alone BASE, that whole base is used from now on, and DIR is laid over it. Without either,
    tells what is set. `crankpath --kb OTHER` and `crankpath --alone OTHER` count for one run.

    \b
    Example:
      crankpath kb use our-shop
    """
    if folder and nothing:
        raise CaseError("Give a folder, or --none, not both.")
    if nothing:
        choose_folders(None, None)
    elif folder or folders.base:
        chosen = folders.over(folder)
        chosen.load()  # what cannot be used is refused now, not in front of the machine
        first, last = (str(chosen.paths[at].resolve()) for at in (0, -1))
        choose_folders(last if last != first else None, first if folders.base else None)
    own, base = chosen_folder(), chosen_folder(ALONE)
    below = f"The knowledge base {base}" if base else "The shipped knowledge"
    click.echo(f"Laid over {below[0].lower()}{below[1:]}: {own}" if own else f"{below} alone is used.")
