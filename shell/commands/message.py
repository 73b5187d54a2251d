"""``crankpath message FILE``: the next step as text short enough to send."""

from __future__ import annotations

from pathlib import Path

import click

from crankpath.engine.typed.names import sure
from crankpath.shell.casefiles import case_from
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.messages import (
    LEAST_LIMIT,
    USUAL_LIMIT,
    MessageStep,
    in_parts,
    reading_message,
    step_message,
    whole_message,
)


@click.command("message")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--limit", type=click.IntRange(LEAST_LIMIT, 2000), help=f"Characters a part; {USUAL_LIMIT} by default."
)
@click.option("--whole", is_flag=True, help="The whole procedure, in one piece unless --limit is given.")
@click.option("--reading", metavar="NAME", help="A reading of your choice instead of the next step.")
@click.option("--number", type=click.IntRange(1, 9999), help="Number of the step, written in front.")
@click.option(
    "--round-trip", type=click.FloatRange(0, 100_000), metavar="MINUTES",
    help="Minutes until an answer comes: the readings worth taking before it are asked for together.",
)
@pass_folders
def command(
    folders: Folders, file: Path, limit: int | None, whole: bool, reading: str | None, number: int | None,
    round_trip: float | None,
) -> None:  # fmt: skip
    """Print the next step of the case in FILE as text messages, one a line, in the order to send them.

    Cautions come first and are never cut: what does not fit goes on in the next part. FILE
    is YAML as for `diagnose`. Exit codes: 0 printed; 2 the file or the reading cannot be
    used, or nothing is left to do; 3 the knowledge base cannot be used.

    \b
    Example:
      crankpath message loader.yaml --limit 160 --round-trip 40
      crankpath message loader.yaml --reading "pos leg" --whole
    """
    case, _ = case_from(file, folders, round_trip)
    step = MessageStep(f"Step {number}") if number else MessageStep()
    measurement = sure(reading, case.assessment.model.measurements) if reading else None
    if whole:
        text = whole_message(case, *filter(None, (measurement,)))
        parts: tuple[str, ...] = (text,) if limit is None else in_parts((), text.splitlines(), limit)
    elif measurement is not None:
        parts = reading_message(case, [measurement], limit or USUAL_LIMIT, step)
    else:
        parts = step_message(case, limit or USUAL_LIMIT, step)
    for part in parts:
        click.echo(part)
