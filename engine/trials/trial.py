"""One machine, one policy: from the complaint to the cure, with every minute counted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Protocol

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.machine import Machine

MOST_STEPS = 80
MOST_TRIES = 60  # cranks that are waited for a failure


@dataclass(frozen=True, slots=True)
class Step:
    """What a policy does next.

    action: measure (``name`` is a measurement), watch (``together`` are measurements), repair (``name``
    is a repair) or stop.
    stated: chance it gives to the repair being needed; None if it states none.
    minutes: what the reading takes now, set-up included. prepares: the repair only comes before
    another one, so it is judged neither right nor wrong.
    """

    action: str
    name: str | None = None
    stated: float | None = None
    minutes: float = 0.0
    together: tuple[str, ...] = ()
    prepares: bool = False


class Policy(Protocol):
    """Decides from a case only; it never sees the machine."""

    def next(self, case: Case) -> Step:
        """The next step."""
        ...


@dataclass(frozen=True)
class Outcome:
    """How a trial went.

    Attributes:
        truth: the faults drawn. degrees: their degrees.
        first_repair: the first repair made, or None. first_right: it was one that was needed.
        stated: chance stated for the first repair. named: (chance, right) of every repair made.
        wrong: repairs that were not needed. cured: the machine cranks at the end.
        readings: measurements asked for, in order, with what they showed.
        minutes_before: minutes for readings, set-up and wrong repairs before the last right one.
        minutes: all minutes to the cure (help included where it had to be called).
        seconds: time of each step by the clock given, if one was.
    """

    truth: tuple[str, ...]
    degrees: tuple[str, ...]
    intermittent: bool
    equipment: dict[str, object]
    first_repair: str | None
    first_right: bool
    stated: float | None
    named: tuple[tuple[float, bool], ...]
    wrong: tuple[str, ...]
    cured: bool
    readings: tuple[tuple[str, str], ...]
    minutes_before: float
    minutes: float
    seconds: tuple[float, ...] = ()


@dataclass
class _Tally:
    before: float = 0.0
    total: float = 0.0
    named: list[tuple[float, bool]] = field(default_factory=list)
    repairs: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    readings: list[tuple[str, str]] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)


def run_trial(
    kb: Knowledge,
    machine: Machine,
    policy: Policy,
    rng: Random,
    clock: Callable[[], float] | None = None,
) -> Outcome:
    """Let a policy find and cure what is wrong with a machine.

    Args:
        kb: the knowledge base, for minutes and for which repair cures what.
        machine: with its hidden faults.
        policy: what decides.
        rng: for meter error and for whether an intermittent fault shows.
        clock: seconds, to time the steps; None leaves ``seconds`` empty.
    """
    case = Case(kb, machine.equipment)
    tally = _Tally()
    _complain(case, machine, rng)
    drawn = machine
    needed = {kb.faults[fault].repair for fault in drawn.faults}
    cured = False
    for _ in range(MOST_STEPS):
        started = clock() if clock else 0.0
        step = policy.next(case)
        if clock:
            tally.seconds.append(clock() - started)
        if step.action == "measure" and step.name is not None:
            _measure(case, machine, step, rng, tally)
        elif step.action == "watch":
            _watch(case, machine, step, rng, tally)
        elif step.action == "repair" and step.name is not None:
            machine, cured = _repair(kb, case, machine, step, rng, tally, needed)
            if cured:
                break
        else:
            break
    if not cured:
        tally.total += kb.settings["help_minutes"]
        tally.before += kb.settings["help_minutes"]
    return _outcome(drawn, tally, needed, cured)


def _complain(case: Case, machine: Machine, rng: Random) -> None:
    """What the operator tells: how it cranks when it fails, and whether it always does."""
    behaviour = machine.read("crank_behaviour", rng, True)
    case.record("occurrence", "intermittent" if machine.intermittent else "every_time")
    if behaviour is not None:
        case.record("crank_behaviour", behaviour)


def read_once(case: Case, machine: Machine, name: str, rng: Random) -> tuple[float | str | None, bool]:
    """What one reading shows, and whether the complaint was there as far as anybody can tell.

    A fault that comes and goes may be away while nothing is cranked, too; only nobody sees it then.
    """
    if not case.assessment.shows(case.kb.measurements[name]):
        return machine.read(name, rng, machine.found_at_rest(rng)), True
    there = machine.attempt(rng) if machine.intermittent else True
    return machine.read(name, rng, there), there


def _measure(case: Case, machine: Machine, step: Step, rng: Random, tally: _Tally) -> None:
    assert step.name is not None
    tally.total += step.minutes
    tally.before += step.minutes
    value, symptom = read_once(case, machine, step.name, rng)
    if value is None:
        case.cannot(step.name)
        tally.readings.append((step.name, "cannot be taken"))
        return
    case.record(step.name, value, symptom=symptom)
    tally.readings.append((step.name, f"{value}" if symptom else f"{value} (away)"))


def _watch(case: Case, machine: Machine, step: Step, rng: Random, tally: _Tally) -> None:
    """Crank until it fails, then read everything that is connected on that crank."""
    minutes = step.minutes
    for _ in range(MOST_TRIES):
        minutes += case.kb.settings["trial_minutes"]
        if machine.attempt(rng):
            break
    else:
        step = Step("watch", together=())
    tally.total += minutes
    tally.before += minutes
    crank = 1 + max((r.crank or 0 for r in case.entries if isinstance(r, Reading)), default=0)
    for name in step.together:
        value = machine.read(name, rng, True)
        if value is not None:
            case.record(name, value, symptom=True, crank=crank)
        tally.readings.append((name, f"{value} (watched)"))


def _repair(
    kb: Knowledge, case: Case, machine: Machine, step: Step, rng: Random, tally: _Tally, needed: set[str]
) -> tuple[Machine, bool]:
    assert step.name is not None
    repair = kb.repairs[step.name]
    if step.prepares:
        tally.total += repair.minutes
        tally.before += repair.minutes
        return _repaired(kb, case, machine, repair.id)
    right = repair.id in needed and repair.id not in tally.repairs
    tally.repairs.append(repair.id)
    if step.stated is not None:
        tally.named.append((step.stated, right))
    spent = repair.minutes if right else case.advisor.costs.wasted[repair.id]
    tally.total += spent
    if not right:
        tally.wrong.append(repair.id)
        tally.before += spent
    return _repaired(kb, case, machine, repair.id)


def _repaired(kb: Knowledge, case: Case, machine: Machine, repair: str) -> tuple[Machine, bool]:
    machine = machine.with_repaired([f for f in machine.faults if kb.faults[f].repair == repair])
    cured = machine.behaviour() == "normal"
    case.repaired(repair, cured=cured)
    return machine, cured


def _outcome(drawn: Machine, tally: _Tally, needed: set[str], cured: bool) -> Outcome:
    first = tally.repairs[0] if tally.repairs else None
    return Outcome(
        tuple(sorted(drawn.faults)),
        tuple(drawn.degrees.get(fault) or "" for fault in sorted(drawn.faults)),
        drawn.intermittent,
        dict(drawn.equipment),
        first,
        first in needed,
        tally.named[0][0] if tally.named else None,
        tuple(tally.named),
        tuple(tally.wrong),
        cured,
        tuple(tally.readings),
        tally.before,
        tally.total,
        tuple(tally.seconds),
    )
