"""``crankpath kb list SECTION [WORD]``: the ids of a section, with what each is called."""

from __future__ import annotations

import click

from crankpath.engine.checking.relations import Relations
from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.problems import near
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.dossier import label_of
from crankpath.shell.text.columns import wrapped

_MOST = 30  # columns of the ids


@click.command("list")
@click.argument("section", required=False)
@click.argument("words", metavar="[WORD]...", nargs=-1)
@click.option("--width", default=80, show_default=True, type=click.IntRange(40, 200), help="Columns.")
@pass_folders
def command(folders: Folders, section: str | None, words: tuple[str, ...], width: int) -> None:
    """List the ids of SECTION with their names; with WORD only those that hold it, in id, name or aliases.

    Without SECTION, the sections and how many entries each has.

    \b
    Example:
      crankpath kb list faults cable
    """
    kb = folders.load()
    relations = Relations(kb)
    ids: dict[str, list[str]] = {}
    for key in relations.keys:
        ids.setdefault(key.split("/")[0], []).append(key)
    if section is None:
        rows = [(name, f"{len(keys)} entries") for name, keys in ids.items()]
    elif section not in ids:
        raise UnknownName(f"There is no section '{section}'. {near(section, ids)}".rstrip())
    else:
        rows = [
            (key.split("/", 1)[1], label_of(relations, key))
            for key in ids[section]
            if all(word.lower() in _said(relations, key) for word in words)
        ]
        if not rows:
            raise UnknownName(f"No entry of '{section}' holds {' and '.join(map(repr, words))}.")
    column = min(max(len(id_) for id_, _ in rows), _MOST)
    for id_, label in rows:
        click.echo("\n".join(wrapped(label, width, f"{id_:<{column}}  ", " " * (column + 2))))


def _said(relations: Relations, key: str) -> str:
    """Everything that an entry is called, in small letters."""
    section, _, id_ = key.partition("/")
    aliases = getattr(getattr(relations.kb, section).get(id_), "aliases", ())
    return " ".join((id_, id_.replace("_", " "), label_of(relations, key), *aliases)).lower()
