"""Waiting for failures with meters left on: how many must be seen until the right repair is named."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from random import Random
from statistics import fmean
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.machine import Machine
from crankpath.engine.trials.evaluation import machine_of

MOST_FAILURES: Final = 6
"""A repair that is not named after so many is not named."""

_RATES: Final = (0.05, 0.30)  # chance that a try fails, of machines that are watched
_MOST_STEPS: Final = 40

Choosing = Callable[[Case, int], tuple[str, ...]]
"""What to leave connected for so many meters; empty where nothing tells more."""


def chosen_jointly(case: Case, meters: int) -> tuple[str, ...]:
    """The readings that tell most together."""
    found = case.watch(meters)
    return found[0].measurements if found else ()


def chosen_singly(case: Case, meters: int) -> tuple[str, ...]:
    """The readings that tell most each by itself, with what is noted beside the best of them."""
    names = [name for watch in case.watch(meters=1)[:meters] for name in watch.measurements]
    return tuple(dict.fromkeys(names))


@dataclass(frozen=True, slots=True)
class Watched:
    """One machine that was watched: failures seen until a repair was named, and whether it was right."""

    truth: tuple[str, ...]
    failures: int
    named: str | None
    right: bool


@dataclass(frozen=True, slots=True)
class WatchFigures:
    """Over many machines. failures: seen on average. named, right: shares of all machines, of those named."""

    machines: int
    failures: float
    named: float
    right: float


def watched_machine(kb: Knowledge, seed: int, number: int, parameters: str) -> Machine:
    """A drawn machine whose one fault shows in 5 to 30 % of the tries."""
    machine = machine_of(kb, seed, number, "intermittent", parameters)
    return replace(machine, rate=Random(f"{seed}/rate/{number}").uniform(*_RATES))


def watch_trial(kb: Knowledge, machine: Machine, meters: int, rng: Random, choose: Choosing) -> Watched:
    """Follow the advice until a repair is named; where it says to wait, read all that is connected then.

    A reading that is asked for on its own is taken at a try that fails as often as the machine does.
    """
    case, tally = Case(kb, machine.equipment), _Seen()
    case.record("occurrence", "intermittent")
    case.record("crank_behaviour", machine.behaviour())
    for _ in range(_MOST_STEPS):
        verdict = case.verdict()
        if tally.failures >= MOST_FAILURES or _named(case) is not None:
            break
        names = choose(case, meters) if verdict.action == "watch" else ()
        if names:
            _read(case, machine, names, rng, True, tally)
        elif verdict.measurement is not None and verdict.action == "measure":
            shows = case.assessment.shows(kb.measurements[verdict.measurement])
            there = machine.attempt(rng) if shows else machine.found_at_rest(rng)
            _read(case, machine, (verdict.measurement,), rng, there, tally)
        else:
            break
    named = _named(case)
    needed = {kb.faults[fault].repair for fault in machine.faults}
    return Watched(tuple(sorted(machine.faults)), tally.failures, named, named in needed)


@dataclass
class _Seen:
    failures: int = 0


def _read(
    case: Case, machine: Machine, names: Sequence[str], rng: Random, there: bool, tally: _Seen
) -> None:
    """Take readings on one crank, or at rest."""
    shows, crank = False, case.next_crank
    for name in names:
        value = machine.read(name, rng, there)
        if value is None:
            case.cannot(name)
            continue
        seen = case.assessment.shows(case.kb.measurements[name])
        shows |= seen
        case.record(name, value, symptom=there or not seen, crank=crank if seen else None)
    tally.failures += shows and there


def _named(case: Case) -> str | None:
    """The repair that the advice says to make, or that is proven likely enough."""
    verdict = case.verdict()
    if verdict.action == "repair":
        return verdict.repair
    chances = case.advisor.repair_chances
    best = max(chances, key=lambda repair: (chances[repair], repair), default=None)
    return best if best is not None and chances[best] >= case.kb.settings["proven_at"] else None


def watch_figures(trials: Sequence[Watched]) -> WatchFigures:
    """The figures of some machines."""
    named = [trial for trial in trials if trial.named is not None]
    right = fmean(trial.right for trial in named) if named else 0.0
    return WatchFigures(
        len(trials), fmean(trial.failures for trial in trials), len(named) / len(trials), right
    )
