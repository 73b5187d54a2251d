"""``crankpath understand TEXT``: what the session and the desk would make of a text."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator
from typing import Any

import click

from crankpath.engine.errors import EquipmentError
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.machine.equipment import complete
from crankpath.engine.typed import names
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.reader.proposals import Understanding
from crankpath.shell.reader.reader import read_text
from crankpath.shell.text.columns import wrapped


@click.command("understand")
@click.argument("text")
@click.option("--asked", metavar="MEASUREMENT", help="The reading or observation that was asked for.")
@click.option("--fact", "facts", multiple=True, metavar="NAME=VALUE", help="A fact of the machine.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON instead of text.")
@pass_folders
def command(folders: Folders, text: str, asked: str | None, facts: tuple[str, ...], as_json: bool) -> None:
    """Show what is understood of TEXT: what is taken, what is asked about, what is only noted.

    TEXT is a line or a whole reply as a technician sends it (- reads from standard input). Words of a
    language and of the shop stand under `words:` in the knowledge base. Exit codes: 0 read; 2 a name
    is not known; 3 the knowledge base cannot be used.

    \b
    Example:
      crankpath understand "pos .35 neg 240mV crank 9.8"
      crankpath understand "0.6 when cranking" --asked solenoid_contact_drop --fact system_voltage=24 --json
    """
    kb = folders.load()
    said = sys.stdin.read() if text == "-" else text
    wanted = names.sure(asked, kb.measurements) if asked else None
    found = read_text(said, kb, _facts(kb, facts), wanted)
    if as_json:
        click.echo(json.dumps(understanding_data(kb, found), indent=2, ensure_ascii=False))
    else:
        click.echo("\n".join(lines(kb, found)))


def _facts(kb: Knowledge, told: tuple[str, ...]) -> Facts:
    """The machine as told, completed by the knowledge base."""
    parts = [fact.partition("=") for fact in told]
    wrong = next((name for name, sign, _ in parts if not sign), None)
    if wrong is not None:
        raise EquipmentError(f"--fact {wrong}: write NAME=VALUE.")
    values = complete(kb, {name.strip(): _value(value.strip()) for name, _, value in parts})
    return Facts({name: value for name, value in values.items() if value is not None})


def _value(text: str) -> str | int | float | bool:
    if text.lower() in ("true", "false"):
        return text.lower() == "true"
    try:
        number = float(text)
    except ValueError:
        return text
    return int(number) if number.is_integer() else number


def understanding_data(kb: Knowledge, found: Understanding) -> dict[str, Any]:
    """The proposals as plain data: ``taken``, ``asked`` (an entry for each reading it may be), ``notes``."""
    asked: list[dict[str, Any]] = []
    for doubt in found.asked:
        for name in doubt.measurements:
            unit = kb.measurements[name].unit
            values = [o.value for o in doubt.options if o.measurement == name and o.value is not None]
            options = [{"value": _number(value), "unit": unit} for value in dict.fromkeys(values)]
            asked.append({"measurement": name, "options": options})
    return {
        "taken": [
            {
                "measurement": p.measurement,
                "value": _number(p.understood.value),
                "unit": kb.measurements[p.measurement].unit,
                "symptom": p.symptom,
            }
            for p in found.taken
        ],
        "asked": asked,
        "notes": list(_notes(kb, found)),
    }


def _number(value: float | str | None) -> float | str | None:
    """A number as JSON can hold it; an open circuit has none."""
    return "open" if isinstance(value, float) and math.isinf(value) else value


def _notes(kb: Knowledge, found: Understanding) -> Iterator[str]:
    for name, words in found.cannot:
        yield f"{kb.measurements[name].label} cannot be taken: {words}"
    for note in found.notes:
        yield f"{note.words}: {note.why}" if note.why else note.words
    yield from found.talk
    if found.cut:
        yield f"The last {found.cut} characters were not read; the text is too long."


def lines(kb: Knowledge, found: Understanding) -> Iterator[str]:
    """The proposals for a person."""
    for p in found.taken:
        value = p.understood.value
        shown = (
            value.replace("_", " ")
            if isinstance(value, str)
            else f"{value:g} {kb.measurements[p.measurement].unit}"
        )
        when = {True: ", while it failed", False: f", while it {kb.about.went_well}", None: ""}[p.symptom]
        yield from wrapped(
            f'{kb.measurements[p.measurement].label}: {shown}{when}   ("{p.words}")', 80, "taken  ", "       "
        )
    for doubt in found.asked:
        may = ", ".join(f"{kb.measurements[o.measurement].label} {o.text}".strip() for o in doubt.options)
        yield from wrapped(f'"{doubt.words}": {doubt.message} {may}', 80, "asked  ", "       ")
    for note in _notes(kb, found):
        yield from wrapped(note, 80, "note   ", "       ")
