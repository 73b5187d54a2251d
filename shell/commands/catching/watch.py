"""``crankpath watch FILE``: what to leave connected until it fails, and what each picture will mean."""

from __future__ import annotations

import json
from pathlib import Path

import click

from crankpath.shell.casefiles import case_from
from crankpath.shell.files import write_page
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.messages.watch_card import MOST_METERS, USUAL_METERS, watch_card
from crankpath.shell.outlets.messages.watch_text import watch_data, watch_text
from crankpath.shell.outlets.pages.watch_page import watch_page
from crankpath.shell.text.clean import one_line


@click.command("watch")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--meters", default=USUAL_METERS, show_default=True, type=click.IntRange(1, MOST_METERS),
    help="Meters and recorders that can stay on the machine.",
)  # fmt: skip
@click.option("--call", default="", help="Whom to call when it fails, and how; printed on the card.")
@click.option("--html", type=click.Path(path_type=Path), help="Write a card for the cab to this file.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")
@click.option("--width", default=80, show_default=True, type=click.IntRange(40, 200), help="Columns of text.")
@pass_folders
def command(
    folders: Folders, file: Path, meters: int, call: str, html: Path | None, as_json: bool, width: int
) -> None:
    """Say which meters to leave on a machine that cranks well now, to catch the next failure.

    The readings are chosen together: those that tell most about the right repair when they are
    read on one failing try. The card says where the leads go, what to do when it fails, and
    which repair each picture points to. FILE is YAML as for `diagnose`. Exit codes: 0 printed; 2 the
    file cannot be used, or there is nothing to wait for; 3 the knowledge base cannot be used.

    \b
    Example:
      crankpath watch loader.yaml --meters 2 --html cab.html --call "workshop, extension 12"
    """
    case, _ = case_from(file, folders)
    name = "" if str(file) == "-" else one_line(file.stem, 120)
    card = watch_card(case, meters, name, one_line(call, 120))
    if html is not None:
        write_page(html, watch_page(card))
        click.echo(f"Written: {html}", err=True)
    if as_json:
        click.echo(json.dumps(watch_data(card), indent=2, ensure_ascii=False))
    elif html is None:
        click.echo("\n".join(watch_text(card, width)))
