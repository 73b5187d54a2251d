"""``crankpath practice``: find a hidden fault without wrecking a starter."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from functools import partial
from random import SystemRandom
from typing import TypeVar

import click

from crankpath.engine.errors import CaseError
from crankpath.engine.solved.drawn.draw import must_fit
from crankpath.engine.trials.evaluation import SORTS, machine_of
from crankpath.engine.trials.practice import Practice, PracticeResult, ShownReading
from crankpath.engine.typed.names import sure
from crankpath.shell.exits import EXIT_FINE, EXIT_STUCK
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.practice import ending, help_lines, opening, reading
from crankpath.shell.text.columns import wrapped

Result = TypeVar("Result")


@click.command("practice")
@click.option("--sort", default="single", show_default=True, type=click.Choice(SORTS), help="What to hide.")
@click.option("--seed", type=int, help="The same seed hides the same fault; without it a new one is drawn.")
@click.option("--parameters", default="first", show_default=True, help="Parameter set of the solved machine.")
@click.option("--width", default=80, show_default=True, type=click.IntRange(40, 200), help="Columns.")
@pass_folders
def command(folders: Folders, sort: str, seed: int | None, parameters: str, width: int) -> None:
    """Ask for readings, pay their minutes, name the cause; then see how it should have gone.

    Exit code 0 when the cause named is right, 1 when it is not or you gave up.

    \b
    Example:
      crankpath practice --seed 12
    """
    kb = folders.load()
    must_fit(kb)
    drawn = seed if seed is not None else SystemRandom().randrange(1_000_000)
    practice = Practice(kb, machine_of(kb, drawn, 0, sort, parameters), drawn)
    _say([f"Practice {drawn} ({sort})."])
    _say(opening(practice, width))
    while True:
        try:
            line = input("practice> ").strip()
        except (EOFError, KeyboardInterrupt):
            line = "quit"
        word, _, rest = line.partition(" ")
        if word == "quit":
            _say(wrapped("Given up. The same seed hides the same fault again.", width))
            sys.exit(EXIT_STUCK)
        if word == "cause" and rest:
            told = _attempt(partial(_name, practice, rest), width)
            if told is not None:
                _say(ending(kb, told, width))
                sys.exit(EXIT_FINE if told.right else EXIT_STUCK)
        elif line:
            _answer(practice, line, width)


def _answer(practice: Practice, line: str, width: int) -> None:
    kb = practice.kb
    if line in ("?", "help"):
        _say(help_lines(width))
    elif line == "minutes":
        _say([f"{practice.minutes:g} minutes so far."])
    elif line in ("list", "faults"):
        things = practice.case.assessment.model.measurements if line == "list" else kb.faults
        _say(wrapped(", ".join(thing.label for thing in things.values()), width))
    else:
        shown = _attempt(partial(_ask, practice, line), width)
        if shown is not None:
            _say(reading(kb, shown, width))


def _ask(practice: Practice, typed: str) -> ShownReading:
    return practice.ask(sure(typed, practice.case.assessment.model.measurements))


def _name(practice: Practice, typed: str) -> PracticeResult:
    return practice.name(sure(typed, practice.kb.faults))


def _attempt(work: Callable[[], Result], width: int) -> Result | None:
    """The result, or None after saying why there is none."""
    try:
        return work()
    except CaseError as slip:
        _say(wrapped(str(slip), width))
        return None


def _say(lines: Iterable[str]) -> None:
    for line in lines:
        click.echo(line)
