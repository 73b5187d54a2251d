"""``crankpath kb pages OUT_DIR``: the knowledge base as pages for a browser."""

from __future__ import annotations

from pathlib import Path

import click

from crankpath.engine.errors import CaseError
from crankpath.shell.commands.kb.looking.show import cases_by_key
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.pages.kb_pages import kb_pages


@click.command("pages")
@click.argument("out", metavar="OUT_DIR", type=click.Path(path_type=Path))
@pass_folders
def command(folders: Folders, out: Path) -> None:
    """Write a page for every entry of the knowledge base, linked, with an index, into OUT_DIR.

    Each tells what the entry says and where it is written, which rules bear on it and which
    cases rest on it; the circuit and what a fault does to the readings are drawn. They need no
    net and no program but a browser. Only pages made before are written over.

    \b
    Example:
      crankpath --kb our-shop kb pages knowledge-pages
    """
    kb = folders.load()
    try:
        out.mkdir(parents=True, exist_ok=True)
        count = 0
        for name, page in kb_pages(kb, cases_by_key(kb, folders)):
            (out / name).write_text(page, encoding="utf-8")
            count += 1
    except OSError as slip:
        raise CaseError(
            f"{out}: the pages cannot be written ({slip.strerror}). Name another folder."
        ) from None
    click.echo(f"{count} pages written; open {out / 'index.html'}")
