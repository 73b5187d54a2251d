"""Waiting for failures with meters left on: how many must be seen until the right repair is named."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from random import Random
from statistics import fmean
from typing import Final

from crankpath.engine.advice.verdict import Verdict
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
class WatchTrial:
    """One machine that was watched.

    failures: seen until a repair was named. named: that repair; right: whether it was needed. first_right:
    whether the first work that was advised was needed; cheap work may be tried before, in vain.
    """

    truth: tuple[str, ...]
    failures: int
    named: str | None
    right: bool
    first_right: bool


@dataclass(frozen=True, slots=True)
class WatchFigures:
    """Over many machines: failures seen on average, share named, and of those the shares that were right."""

    machines: int
    failures: float
    named: float
    right: float
    first_right: float


def watched_machine(kb: Knowledge, seed: int, number: int, parameters: str) -> Machine:
    """A drawn machine whose one fault shows in 5 to 30 % of the tries."""
    machine = machine_of(kb, seed, number, "intermittent", parameters)
    return replace(machine, rate=Random(f"{seed}/rate/{number}").uniform(*_RATES))


def watch_trial(kb: Knowledge, machine: Machine, meters: int, rng: Random, choose: Choosing) -> WatchTrial:
    """Follow the advice until a repair is named; where it says to wait, read all that is connected then.

    A reading that is asked for on its own is taken at a try that fails as often as the machine does.
    Cheap work that is tried before it is proven names nothing; where it was in vain, it fails once more.
    """
    case, failures, in_vain = Case(kb, machine.equipment), 0, False
    case.record("occurrence", "intermittent")
    case.record("crank_behaviour", machine.behaviour())
    needed = {kb.faults[fault].repair for fault in machine.faults}
    named = None
    for _ in range(_MOST_STEPS):
        verdict = case.verdict()
        named = _named(case, verdict)
        tried = verdict.action == "repair" and named not in needed and _tries(kb, verdict)
        if tried and verdict.repair is not None:
            case.repaired(verdict.repair, cured=False)
            failures, named, in_vain = failures + 1, None, True
        if failures >= MOST_FAILURES or named is not None:
            break
        step = _readings(case, machine, verdict, meters, rng, choose)
        if step is None:
            break
        failures += _read(case, machine, *step)
    right = named in needed
    return WatchTrial(tuple(sorted(machine.faults)), failures, named, right, right and not in_vain)


def _tries(kb: Knowledge, verdict: Verdict) -> bool:
    """Is it cheap work that is tried before it is proven, or that comes before another repair?"""
    cheap = kb.repairs[str(verdict.repair)].parts_cost <= kb.settings["cheap_parts"]
    return cheap and (verdict.prepares is not None or verdict.probability < kb.settings["proven_at"])


def _readings(
    case: Case, machine: Machine, verdict: Verdict, meters: int, rng: Random, choose: Choosing
) -> tuple[tuple[str, ...], bool, Random] | None:
    """What is read next, and whether the complaint is there then; None where nothing is."""
    if verdict.action == "watch":
        return left_on(case, verdict, choose(case, meters)), True, rng
    if verdict.action != "measure" or verdict.measurement is None:
        return None
    shows = case.assessment.shows(case.kb.measurements[verdict.measurement])
    there = machine.attempt(rng) if shows else machine.found_at_rest(rng)
    meters_on = choose(case, meters) if shows and there and len(verdict.together) > 1 else ()
    return tuple(dict.fromkeys((verdict.measurement, *meters_on))), there, rng


def left_on(case: Case, verdict: Verdict, chosen: tuple[str, ...]) -> tuple[str, ...]:
    """What is chosen, and what the verdict says to look at or to try when it fails; that takes no meter."""
    kb = case.kb.measurements
    acts = (name for name in verdict.together if not kb[name].numeric)
    return tuple(dict.fromkeys((*acts, *chosen)))


def _read(case: Case, machine: Machine, names: Sequence[str], there: bool, rng: Random) -> bool:
    """Take readings on one crank, or at rest; True where a failure was seen."""
    shows, crank = False, case.next_crank
    for name in names:
        value = machine.read(name, rng, there)
        if value is None:
            case.cannot(name)
            continue
        seen = case.assessment.shows(case.kb.measurements[name])
        shows |= seen
        case.record(name, value, symptom=there or not seen, crank=crank if seen else None)
    return shows and there


def _named(case: Case, verdict: Verdict) -> str | None:
    """The repair that the advice says to make, or that is proven likely enough."""
    if verdict.action == "repair":
        return verdict.repair
    chances = case.advisor.repair_chances
    best = max(chances, key=lambda repair: (chances[repair], repair), default=None)
    return best if best is not None and chances[best] >= case.kb.settings["proven_at"] else None


def watch_figures(trials: Sequence[WatchTrial]) -> WatchFigures:
    """The figures of some machines."""
    named = [trial for trial in trials if trial.named is not None]
    share = len(named) / len(trials)
    right = fmean(trial.right for trial in named) if named else 0.0
    first = fmean(trial.first_right for trial in named) if named else 0.0
    return WatchFigures(len(trials), fmean(trial.failures for trial in trials), share, right, first)
