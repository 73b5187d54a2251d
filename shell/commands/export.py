"""``crankpath export CASE FILE``: a case of the store as a YAML file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from crankpath.shell.desk.exported_case import whole_text
from crankpath.shell.desk.find_case import find_case
from crankpath.shell.files import write_page
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.opened_store import opened_store
from crankpath.shell.session.state import case_state, machines
from crankpath.shell.session.transfer import case_text
from crankpath.shell.store import CaseSummary

if TYPE_CHECKING:
    from crankpath.shell.store import Store


@click.command("export")
@click.argument("case")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--whole", is_flag=True, help="With every event, as JSON: `import` merges it into another store."
)
@pass_folders
def command(folders: Folders, case: str, file: Path, whole: bool) -> None:
    """Write CASE, a number of the list of cases or words of its name, as YAML to FILE (- prints it).

    The file is what `crankpath diagnose` reads and what the knowledge base keeps as a test. With
    --whole it holds every event of the case, to go on with it elsewhere; two copies that were
    both worked on are merged by `crankpath import`, entry by entry.

    \b
    Example:
      crankpath export 1 loader.yaml
      crankpath export "loader 7" loader.json --whole
      crankpath export "loader 7" - | crankpath diagnose -
    """
    with opened_store() as store:
        found = find_case(store, case)
        text = whole_text(store.export_case(found.id)) if whole else _case(store, found, folders)
    if str(file) == "-":
        click.echo(text, nl=False)
        return
    write_page(file, text, new=True)
    click.echo(f"{found.name}: written to {file}")


def _case(store: Store, found: CaseSummary, folders: Folders) -> str:
    kb = folders.load()
    return case_text(case_state(kb, machines(kb), found.id, store.events(found.id)))
