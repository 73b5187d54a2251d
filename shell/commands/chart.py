"""``crankpath chart``: the advice a few acts deep, for a machine or from where a case stands."""

from __future__ import annotations

from pathlib import Path

import click

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Knowledge
from crankpath.engine.typed import spelling
from crankpath.shell.casefiles import case_from
from crankpath.shell.files import write_page
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.chart.html import chart_html
from crankpath.shell.outlets.chart.making import DEEPEST, USUAL_DEPTH, chart_of
from crankpath.shell.outlets.chart.text import chart_text
from crankpath.shell.session.input.guesses import guess
from crankpath.shell.session.input.machine_words import told_machine


@click.command("chart")
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--machine", metavar="FACTS", default="", help='Machine facts: "24 V, ...".')
@click.option("--without", "lacks", metavar="TOOL", multiple=True, help="A tool that is not at hand.")
@click.option("--complaint", metavar="WORDS", default="", help='What it does: what the operator says.')
@click.option("--html", type=click.Path(path_type=Path), help="Write a page to print to this file.")
@click.option(
    "--depth", default=USUAL_DEPTH, show_default=True, type=click.IntRange(1, DEEPEST),
    help="Readings in a row.",
)  # fmt: skip
@click.option("--width", default=80, show_default=True, type=click.IntRange(40, 200), help="Columns of text.")
@pass_folders
def command(
    folders: Folders, file: Path | None, machine: str, lacks: tuple[str, ...], complaint: str,
    html: Path | None, depth: int, width: int,
) -> None:  # fmt: skip
    """Print a fault chart: what to read, what can be found and how often, where each finding leads.

    Without FILE it is for a machine, its tools and its complaint; with a case FILE (YAML as for
    `diagnose`) it goes on from where that case stands. Good for a day without the tool. Exit codes: 0
    written; 2 something named cannot be used; 3 the knowledge base cannot be used.

    \b
    Example:
      crankpath chart --complaint "cranks slow, every time" --machine "24 V, 4 batteries"
      crankpath chart loader.yaml --html chart.html
    """
    if file is not None and (machine or lacks or complaint):
        raise click.UsageError("Name either a case file, or a machine, its tools and its complaint.")
    if file is not None:
        case, title = case_from(file, folders)[0], "" if str(file) == "-" else file.stem
    else:
        kb = folders.load()
        case, title = _case(kb, machine, lacks, complaint), complaint
    page = chart_of(case, depth, title)
    if html is None:
        click.echo("\n".join(chart_text(page, width)))
        return
    write_page(html, chart_html(page))
    click.echo(f"Written: {html}", err=True)


def _case(kb: Knowledge, machine: str, lacks: tuple[str, ...], complaint: str) -> Case:
    """A case of the machine, with what the words of the complaint say."""
    told = told_machine(kb, f":{machine}")
    if told.unknown:
        raise CaseError(f"Machine: '{told.unknown[0]}' is not understood; tell it as in the session.")
    case = Case(kb, dict(told.facts), frozenset(_tool(kb, tool) for tool in lacks))
    kinds = (SYMPTOM_KIND, HISTORY_KIND)
    asked = [m for kind in kinds for m in kb.measurements.values() if kind in m.kinds]
    found = {m.id: guess(kb, complaint, m.id) for m in asked} if complaint else {}
    if complaint and not any(found.values()):
        values = ", ".join(value.replace("_", " ") for value in asked[0].choices)
        raise CaseError(f"Complaint: '{complaint}' is not understood; say what it does: {values}.")
    for name, value in found.items():
        if value is not None:
            case.record(name, value)
    return case


def _tool(kb: Knowledge, typed: str) -> str:
    found = spelling.match_name(typed, {tool.id: (tool.id, tool.label) for tool in kb.tools.values()})
    if found.sure is None:
        labels = ", ".join(tool.label for tool in kb.tools.values())
        raise CaseError(f"No tool is called '{typed}'. There are: {labels}.")
    return found.sure
