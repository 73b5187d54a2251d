"""``crankpath evaluate``: how good is the advice, on machines with hidden faults."""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from pathlib import Path

import click

from crankpath.engine.solved.drawn.draw import must_fit
from crankpath.engine.trials.ahead.progress_accuracy import (
    ForecastAccuracy,
    ProgressForecast,
    forecast_accuracy,
)
from crankpath.engine.trials.evaluation import POLICIES, SLIPS, SORTS, TURNS, progress_forecasts, trials
from crankpath.engine.trials.report import mistakes, summarise
from crankpath.engine.trials.trial import TrialOutcome
from crankpath.shell.commands.trials.waiting import waiting_lines
from crankpath.shell.files import write_page
from crankpath.shell.kb_folders import Folders, pass_folders
from crankpath.shell.outlets.reports.evaluation import evaluation_lines, forecast_lines

_BATCH = 20


@click.command("evaluate")
@click.option(
    "--machines", "-n", default=200, show_default=True, type=click.IntRange(1), help="Machines of each sort."
)
@click.option(
    "--sort",
    "sorts",
    multiple=True,
    type=click.Choice([*SORTS, SLIPS, *TURNS]),
    help=f"Sorts of faults; {', '.join(SORTS)} by default. Slips: single faults, one reading in "
    "16 wrong. In turn: every listed fault, equally often.",
)
@click.option(
    "--policy", "policies", multiple=True, type=click.Choice(sorted(POLICIES)), help="Every one by default."
)
@click.option(
    "--parameters", default="first", show_default=True, help="Parameter set of the solved machines."
)
@click.option("--seed", default=1, show_default=True, help="The same seed draws the same machines.")
@click.option(
    "--jobs", default=os.cpu_count() or 1, show_default=True, type=click.IntRange(1), help="Processes."
)
@click.option(
    "--waiting", is_flag=True, help="Wait for failures with meters left on; what luck may do beside it."
)
@click.option("--progress", "foretells", is_flag=True, help="Hold what the advice says is left to read "
              "against what is then read.")
@click.option("--out", type=click.Path(path_type=Path), help="Write every outcome to this JSON file.")
@pass_folders
def command(
    folders: Folders,
    machines: int,
    sorts: tuple[str, ...],
    policies: tuple[str, ...],
    parameters: str,
    seed: int,
    jobs: int,
    waiting: bool,
    foretells: bool,
    out: Path | None,
) -> None:
    """Draw machines with hidden faults and let each policy find and cure them.

    \b
    Example:
      crankpath evaluate -n 1000 --sort single --policy advice --policy paper --seed 7
      crankpath evaluate --waiting -n 200
    """
    must_fit(folders.load())  # a slip in it is told before any machine is drawn
    if waiting:
        for line in waiting_lines(folders, machines, seed, parameters, jobs):
            click.echo(line)
        return
    if foretells:
        for sort in sorts or SORTS:
            held = _foretold(folders, machines, seed, sort, parameters, jobs)
            click.echo("\n".join(forecast_lines(sort, held)))
        return
    wanted = [(s, p) for s in sorts or SORTS for p in policies or sorted(POLICIES)]
    batches = [range(start, min(start + _BATCH, machines)) for start in range(0, machines, _BATCH)]
    results: dict[tuple[str, str], list[TrialOutcome]] = {}
    drawn = machines * len(wanted)
    with (
        ProcessPoolExecutor(jobs) as pool,
        click.progressbar(length=drawn, label="machines", width=30, file=sys.stderr) as progress,
    ):
        pending = [
            (pair, pool.submit(_batch, folders, batch, seed, pair[0], parameters, pair[1]))
            for pair in wanted
            for batch in batches
        ]
        for pair, future in pending:
            outcomes = future.result()
            results.setdefault(pair, []).extend(outcomes)
            progress.update(len(outcomes))
    for line in _report(results, parameters, seed):
        click.echo(line)
    if out is not None:
        _write(out, results, parameters, seed)


def _foretold(
    folders: Folders, machines: int, seed: int, sort: str, parameters: str, jobs: int
) -> tuple[ForecastAccuracy, ...]:
    batches = [range(start, min(start + _BATCH, machines)) for start in range(0, machines, _BATCH)]
    with ProcessPoolExecutor(jobs) as pool:
        pending = [pool.submit(_foretelling, folders, batch, seed, sort, parameters) for batch in batches]
        return forecast_accuracy([one for future in pending for one in future.result()])


def _foretelling(
    folders: Folders, numbers: range, seed: int, sort: str, parameters: str
) -> list[ProgressForecast]:
    return list(progress_forecasts(folders.load(), numbers, seed, sort, parameters))


def _batch(
    folders: Folders, numbers: range, seed: int, sort: str, parameters: str, policy: str
) -> list[TrialOutcome]:
    kb = folders.load()
    return list(trials(kb, numbers, seed, sort, parameters, policy, time.perf_counter))


def _report(results: dict[tuple[str, str], list[TrialOutcome]], parameters: str, seed: int) -> Iterator[str]:
    yield f"parameter set {parameters}, seed {seed}"
    for (sort, policy), outcomes in results.items():
        yield ""
        worst = mistakes(outcomes) if policy == "advice" else ()
        yield from evaluation_lines(sort, policy, summarise(outcomes), worst)


def _write(out: Path, results: dict[tuple[str, str], list[TrialOutcome]], parameters: str, seed: int) -> None:
    data = [
        {"sort": sort, "policy": policy, "parameters": parameters, "seed": seed, **asdict(outcome)}
        for (sort, policy), outcomes in results.items()
        for outcome in outcomes
    ]
    write_page(out, json.dumps(data, indent=1))
