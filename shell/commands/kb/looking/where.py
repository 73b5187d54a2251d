"""``crankpath kb where ID``: from which folder an entry comes, and at which line."""

from __future__ import annotations

import click

from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.problems import near
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.knowledge import shown_path


@click.command("where")
@click.argument("name", metavar="ID")
@pass_folders
def command(folders: Folders, name: str) -> None:
    """Show where the entry ID is written: file, line, and the shipped entry it takes the place of.

    \b
    Example:
      crankpath --kb our-shop kb where positive_cable
    """
    kb = folders.load()
    found = entries_called(kb, name)
    if not found:
        known = {key.split("/", 1)[1] for key in kb.layers}
        raise UnknownName(f"There is no entry '{name}'. {near(name, known)}".rstrip())
    below = entries_called(folders.below.load(), name) if folders.own else {}
    for key, origin in found.items():
        section, _, id_ = key.partition("/")
        line = f"{section} {id_}: {_place(kb.layers[key], origin)}"
        replaced = below.get(key)
        if replaced is not None and kb.layers[key] != str(shipped_folder()):
            line += f", in place of {_place('', replaced)}"
        click.echo(line)


def entries_called(kb: Knowledge, name: str) -> dict[str, Origin]:
    """ "section/id" -> where it stands, of every entry with that id ("section/id" finds one)."""
    found = {}
    for key in kb.layers:
        section, _, id_ = key.partition("/")
        if name in (id_, key):
            entry = getattr(kb, section)[id_] if section != "settings" else None
            origin = kb.settings.origins[id_] if entry is None else getattr(entry, "origin", Origin("", 1, 1))
            found[key] = origin
    return found


def _place(folder: str, origin: Origin) -> str:
    path = shown_path(folder, origin.file)
    return f"{path}:{origin.line}" if origin.file else path
