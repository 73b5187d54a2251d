"""``crankpath record FILE``: the cranks of a recording, shown and taken as readings."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.desk.find_case import find_case
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.opened_store import opened_store
from crankpath.shell.recordings.crank_selection import KEYS, CrankSelection, as_json
from crankpath.shell.recordings.opening import RecordingText
from crankpath.shell.recordings.reading import Shown, ToldColumns, read_recording, told_apart, told_of
from crankpath.shell.session.input.answers import NO, YES
from crankpath.shell.session.state import CaseState, case_state, machines
from crankpath.shell.text.clean import clean


@click.command("record")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--column", "columns", multiple=True, metavar="N=READING[,UNIT]",
              help="Which column is which reading; its number or its header.")  # fmt: skip
@click.option("--time", "time", metavar="N[,UNIT]", default="",
              help="The time column and its unit (s, ms, us), where no header says it.")  # fmt: skip
@click.option("--case", "meant", metavar="NAME", help="The case of the store to take the readings into.")
@click.option("--fact", "facts", multiple=True, metavar="FACT=VALUE",
              help="A machine fact; `kb list equipment` lists them.")  # fmt: skip
@click.option("--crank", "told", multiple=True, metavar="WORDS",
              help="As at the prompt: '2 3' only these, 'failed 2', 'good 1'.")  # fmt: skip
@click.option("--take", is_flag=True, help="Take the readings into the case without asking.")
@click.option("--json", "as_json_", is_flag=True, help="Print JSON, and ask nothing.")
@pass_folders
def command(folders: Folders, file: Path, columns: tuple[str, ...], time: str, meant: str | None,
            facts: tuple[str, ...], told: tuple[str, ...], take: bool, as_json_: bool) -> None:  # fmt: skip
    """Find the cranks in a recording of voltages or currents over time, and what each reads.

    FILE is text of any logger or oscilloscope, a line a sample; - reads the same lines as they
    come and shows each crank as it happens. One column must be the battery's voltage or the
    starter's current. A clamp that gives volts is told by its scale. Everything odd is told with
    its line. Exit codes: 0 read; 2 the recording, a column or the case cannot be used; 3 the
    knowledge base cannot be used.

    \b
    Example:
      crankpath record start.csv --column "2=battery crank" --fact cylinders=6
      crankpath record start.csv --column "2=battery crank" --column "3=amps,10 mV/A" --time 1,ms
      crankpath record start.csv --column "2=battery crank" --case "loader 7"
    """
    if take and meant is None:
        raise click.UsageError("Name the case to take the readings into: --case NAME.")
    kb = folders.load()
    parts = [part for column in columns for part in told_apart(column)]
    said = told_of([*parts, f"time={time}"] if time else parts)
    if meant is None:
        _read(file, said, told, as_json_, *_case(kb, None, facts))
        return
    with opened_store() as store:
        chosen = find_case(store, meant)
        state = case_state(kb, machines(kb), chosen.id, store.events(chosen.id))
        found: CrankSelection | None = _read(file, said, told, as_json_, *_case(kb, state, facts))
        if found and found.cranks and not take:
            found = None if as_json_ else _confirmed(file, found)
        if not found or not found.cranks:
            return
        if found.trouble:
            raise CaseError(found.trouble)
        for write in found.writes():
            store.append(state.id, write.kind, write.body, at=datetime.now(UTC).isoformat(), by=write.by)
    click.echo(found.taken_words, err=as_json_)


def _read(file: Path, said: ToldColumns, told: Sequence[str], plain: bool, case: Case,
          facts: Mapping[str, FactValue]) -> CrankSelection:  # fmt: skip
    """The cranks of the recording, shown."""
    found = _told(read_recording(RecordingText(file), said, case, facts, _live(case, file, plain)), told)
    if plain:
        click.echo(json.dumps({"cranks": as_json(found), "remarks": list(found.remarks)}, indent=1))
    else:
        _show(found)
    return found


def _case(
    kb: Knowledge, state: CaseState | None, told: Sequence[str]
) -> tuple[Case, Mapping[str, FactValue]]:
    """The case, an empty one where none is meant, and the facts of its machine with those told here."""
    facts: dict[str, Any] = dict(state.told) if state else {}
    for text in told:
        name, equals, value = text.partition("=")
        if not equals:
            raise CaseError(f"'{text}' does not say a fact and its value; write it like cylinders=6.")
        facts[name.strip()] = value.strip()
    machine = Case(kb, facts)
    return state.case if state else machine, machine.equipment


def _live(case: Case, file: Path, quiet: bool) -> Shown | None:
    """Shows a crank as it happens, below what must be seen to before anybody cranks."""
    if str(file) != "-" or quiet:
        return None
    for reason in case.stops():
        click.echo(clean(f"! STOP: {reason}"))
    budget = case.kb.about.budget
    for name in case.guard.cautions_of_reading(case.kb.measurements[budget.loaded]) if budget else ():
        click.echo(clean(f"! {case.kb.cautions[name].text}"))
    return lambda line: click.echo(clean(line))


def _told(found: CrankSelection, told: Sequence[str]) -> CrankSelection:
    for words in told:
        so = found.told(words)
        if so is None:
            raise CaseError(f"'{words}' names no cranks of this recording; it has {len(found.cranks)}.")
        found = so
    return found


def _show(found: CrankSelection) -> None:
    given = os.environ.get("COLUMNS", "")
    size = int(given) if given.isdecimal() else shutil.get_terminal_size((80, 24)).columns
    for line in found.lines(max(40, min(size, 200))):
        click.echo(clean(line))
    if not found.cranks:
        click.echo("No crank was found.")


def _confirmed(file: Path, found: CrankSelection) -> CrankSelection | None:
    """The cranks as a person tells them apart; None if none is to be taken. A stream cannot be asked."""
    if str(file) == "-" or not sys.stdin.isatty():
        click.echo("Nothing was taken; --take takes the readings.", err=True)
        return None
    while True:
        line = click.prompt(found.trouble or KEYS, default="", show_default=False, prompt_suffix="\n> ")
        if line.strip().lower() in NO:
            return None
        if line.strip().lower() in YES | {""}:
            if not found.trouble:
                return found
        elif (so := found.told(line)) is not None:
            found = so
            for shown in found.heads(80):
                click.echo(clean(shown))
