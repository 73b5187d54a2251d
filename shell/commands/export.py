"""``crankpath export CASE FILE``: a case of the store as a YAML file."""

from __future__ import annotations

from pathlib import Path

import click

from crankpath.engine.errors import CaseError
from crankpath.engine.loading import load_knowledge
from crankpath.shell.session.state import case_state, machines
from crankpath.shell.session.transfer import case_text
from crankpath.shell.store import CaseSummary, Store, open_store


@click.command("export")
@click.argument("case")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.pass_obj
def command(folder: str | None, case: str, file: Path) -> None:
    """Write CASE, a number of the list of cases or words of its name, as YAML to FILE (- prints it).

    The file is what `crankpath diagnose` reads and what the knowledge base keeps as a test.

    \b
    Example:
      crankpath export 1 loader.yaml
      crankpath export "loader 7" - | crankpath diagnose -
    """
    store = open_store()
    kb = load_knowledge(*([folder] if folder else []))
    found = find_case(store, case)
    text = case_text(case_state(kb, machines(kb), found.id, store.events(found.id)))
    store.close()
    if str(file) == "-":
        click.echo(text, nl=False)
        return
    try:
        with file.open("x", encoding="utf-8") as target:
            target.write(text)
    except FileExistsError:
        raise CaseError(f"{file} is there already; name another file.") from None
    except OSError as slip:
        raise CaseError(f"{file} cannot be written ({slip.strerror}).") from None
    click.echo(f"{found.name}: written to {file}")


def find_case(store: Store, meant: str) -> CaseSummary:
    """The case that is meant by its number in the list, the last worked on first, or by words.

    Raises:
        CaseError: none, or more than one.
    """
    if meant.isdecimal():
        listed = store.cases(limit=int(meant))
        if 0 < int(meant) <= len(listed):
            return listed[int(meant) - 1]
        raise CaseError(f"There is no case {meant}. In a session the word cases lists them.")
    found = store.cases(search=meant, limit=5)
    if len(found) == 1:
        return found[0]
    names = "; ".join(case.name for case in found)
    fits = f"more than one case: {names}" if found else "no case"
    raise CaseError(f"'{meant}' fits {fits}. Give more of its name.")
