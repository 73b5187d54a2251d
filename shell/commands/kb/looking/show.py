"""``crankpath kb show ID``: everything about one entry, in words."""

from __future__ import annotations

import click

from crankpath.engine.cases.casefile import read_case
from crankpath.engine.checking.relations import case_keys
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.entry import WIDTH, entry_lines


@click.command("show")
@click.argument("name", metavar="ID")
@click.option("--width", default=WIDTH, show_default=True, type=click.IntRange(40, 200), help="Columns.")
@pass_folders
def command(folders: Folders, name: str, width: int) -> None:
    """Show everything about the entry ID: what it says, who uses it, which rules bear on it.

    ID is a fault, measurement, rule, repair, caution or any other entry; SECTION/ID names one
    where several are called the same.

    \b
    Example:
      crankpath kb show positive_cable
      crankpath --kb our-shop kb show measurements/positive_cable_drop
    """
    kb = folders.load()
    rules = name in kb.rules or name.startswith("rules/")
    cases = cases_by_key(kb, folders, rules, "" if rules else name.rpartition("/")[2])
    click.echo("\n".join(entry_lines(kb, name, cases, width)))


def cases_by_key(
    kb: Knowledge, folders: Folders, rules: bool = True, named: str = ""
) -> dict[str, tuple[str, ...]]:
    """Entry -> the case files of the folders that rest on it; files that cannot be read are passed over.

    Args:
        kb: the knowledge base.
        folders: whose cases are looked at.
        rules: find the rules that a case rests on too; that takes longer.
        named: look only into files in which this id stands.
    """
    found: dict[str, list[str]] = {}
    for _, file, text in folders.cases():
        if isinstance(text, str) or named.encode() not in text:
            continue
        written, _ = read_case(text, file)
        for key in case_keys(kb, written, rules) if written is not None else ():
            found.setdefault(key, []).append(file)
    return {key: tuple(files) for key, files in found.items()}
