"""One machine, one policy: from the complaint to the cure, with every minute counted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Protocol

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import DoubtfulReading
from crankpath.engine.inference.entries import Repaired
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.machine import Machine
from crankpath.engine.trials.slips import ONE_IN, slipped

MOST_STEPS = 80
MOST_TRIES = 60  # cranks that are waited for a failure


@dataclass(frozen=True, slots=True)
class TrialStep:
    """What a policy does next.

    action: measure (``name`` is a measurement), watch, repair (``name`` is a repair) or stop.
    together: measurements to take on one crank; for measure the named one alone if it is left out.
    stated: chance it gives to the repair being needed; None if it states none.
    minutes: what the readings take now, set-up included. prepares: the repair only comes before
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

    def next(self, case: Case) -> TrialStep:
        """The next step."""
        ...

    def afterwards(self, case: Case) -> TrialStep:
        """The next step once the machine works again: what brought the fault about, or to let it go."""
        ...


@dataclass(frozen=True)
class TrialOutcome:
    """The result of one trial.

    Attributes:
        truth: the faults drawn. degrees: their degrees.
        first_repair: the first repair made, or None. first_right: it was one that was needed.
        stated: chance stated for the first repair. named: (chance, right) of every repair made.
        wrong: repairs that were not needed; parts: those of them that replaced a part (more than
            cheap material). cured: the machine cranks at the end.
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
    parts: tuple[str, ...]
    cured: bool
    readings: tuple[tuple[str, str], ...]
    minutes_before: float
    minutes: float
    seconds: tuple[float, ...] = ()


@dataclass
class _Tally:
    wrong_takes: Random | None = None
    before: float = 0.0
    total: float = 0.0
    named: list[tuple[float, bool]] = field(default_factory=list)
    repairs: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)
    unjudged: list[TrialStep] = field(default_factory=list)
    readings: list[tuple[str, str]] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)

    def spend(self, minutes: float) -> None:
        """Minutes on the way to the cure."""
        self.before += minutes
        self.total += minutes


def run_trial(
    kb: Knowledge,
    machine: Machine,
    policy: Policy,
    rng: Random,
    clock: Callable[[], float] | None = None,
    wrong_takes: Random | None = None,
) -> TrialOutcome:
    """Let a policy find and cure what is wrong with a machine.

    Args:
        kb: the knowledge base, for minutes and for which repair cures what.
        machine: with its hidden faults.
        policy: what decides.
        rng: for meter error and for whether an intermittent fault shows.
        clock: seconds, to time the steps; None leaves ``seconds`` empty.
        wrong_takes: draws which meter readings are taken wrongly, and how; None: no reading is.
    """
    case = Case(kb, machine.equipment)
    tally = _Tally(wrong_takes)
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
            machine, cured = _repair(kb, case, machine, step, tally, needed)
            if cured and machine.hidden:
                machine, cured = _let_go(kb, case, machine, policy, rng, tally, needed)
                tally.unjudged.clear()
            if cured:
                break
        else:
            break
    if not cured:
        tally.spend(kb.settings["help_minutes"])
    return _outcome(drawn, tally, needed, cured)


def _complain(case: Case, machine: Machine, rng: Random) -> None:
    """What the operator tells: how it cranks when it fails, and whether it always does."""
    behaviour = machine.read("crank_behaviour", rng, True)
    case.record("occurrence", "intermittent" if machine.intermittent else "every_time")
    if behaviour is not None:
        case.record("crank_behaviour", behaviour)


def read_once(
    case: Case, machine: Machine, name: str, rng: Random, there: bool | None = None
) -> tuple[float | str | None, bool]:
    """What one reading shows, and whether the complaint was there as far as anybody can tell.

    A fault that comes and goes may be away while nothing is cranked, too; only nobody sees it then.

    Args:
        case: the case that it is read for.
        machine: what is read.
        name: of the measurement.
        rng: of meter error.
        there: whether the crank on which it is read fails; None: that is tried.
    """
    if not case.assessment.shows(case.kb.measurements[name]):
        return machine.read(name, rng, machine.found_at_rest(rng)), True
    if there is None:
        there = machine.attempt(rng) if machine.intermittent else True
    return machine.read(name, rng, there), there


def _measure(case: Case, machine: Machine, step: TrialStep, rng: Random, tally: _Tally) -> None:
    assert step.name is not None
    tally.spend(step.minutes)
    if len(step.together) < 2:
        _take(case, machine, step.name, rng, tally)
        return
    there, crank = machine.attempt(rng) if machine.intermittent else True, case.next_crank
    for name in step.together:
        _take(case, machine, name, rng, tally, there, crank)


def _watch(case: Case, machine: Machine, step: TrialStep, rng: Random, tally: _Tally) -> None:
    """Crank until it fails, then read everything that is connected on that crank."""
    tally.spend(step.minutes)
    for _ in range(MOST_TRIES):
        tally.spend(case.kb.settings["trial_minutes"])
        if machine.attempt(rng):
            break
    else:
        return
    crank = case.next_crank
    for name in step.together:
        _take(case, machine, name, rng, tally, True, crank)


def _take(
    case: Case, machine: Machine, name: str, rng: Random, tally: _Tally,
    there: bool | None = None, crank: int | None = None,
) -> None:  # fmt: skip
    """One reading, as it is or, where wrong takes are tried, now and then as it is not."""
    value, symptom = read_once(case, machine, name, rng, there)
    if value is None:
        case.cannot(name)
        tally.readings.append((name, "cannot be taken"))
        return
    away = "" if symptom else " (away)"
    slips = tally.wrong_takes
    if slips is not None and not isinstance(value, str) and slips.random() < 1 / ONE_IN:
        wrong = slipped(machine, name, value, slips, symptom)
        try:
            case.record(name, wrong, symptom=symptom, crank=crank)
        except DoubtfulReading:
            tally.spend(case.kb.measurements[name].minutes)  # nobody believes it, so it is taken again
        else:
            tally.readings.append((name, f"{wrong}{away} (taken wrongly)"))
            return
    case.record(name, value, symptom=symptom, crank=crank)
    tally.readings.append((name, f"{value}{away}"))


def _repair(
    kb: Knowledge, case: Case, machine: Machine, step: TrialStep, tally: _Tally, needed: set[str]
) -> tuple[Machine, bool]:
    """Make a repair; one that only hides what is wrong is judged once the machine is let go."""
    assert step.name is not None
    repair, wasted = kb.repairs[step.name], case.advisor.costs.wasted[step.name]
    right = repair.id in needed and repair.id not in tally.repairs
    machine, cured = _repaired(kb, case, machine, repair.id)
    hides = not right and bool(machine.hidden.intersection(repair.hides))
    if step.prepares or hides:
        tally.spend(repair.minutes)
        tally.unjudged += [step] if hides and not step.prepares else []
        return machine, cured
    _judge(kb, step, right, tally)
    spent = repair.minutes if right else wasted
    tally.total += spent
    tally.before += 0.0 if right else spent
    return machine, cured


def _judge(kb: Knowledge, step: TrialStep, right: bool, tally: _Tally) -> None:
    assert step.name is not None
    tally.repairs.append(step.name)
    if step.stated is not None:
        tally.named.append((step.stated, right))
    if not right:
        tally.wrong.append(step.name)
        if kb.repairs[step.name].parts_cost > kb.settings["cheap_parts"]:
            tally.parts.append(step.name)


def _let_go(
    kb: Knowledge, case: Case, machine: Machine, policy: Policy, rng: Random, tally: _Tally,
    needed: set[str],
) -> tuple[Machine, bool]:  # fmt: skip
    """It works although something is still wrong: that is found before it goes out, or it comes back."""
    while machine.hidden:
        step = policy.afterwards(case)
        if step.action == "measure":
            _measure(case, machine, step, rng, tally)
        elif step.action == "repair":
            machine, _ = _repair(kb, case, machine, step, tally, needed)
        else:
            break
    if not machine.hidden:
        return machine, True
    for step in tally.unjudged:
        _judge(kb, step, False, tally)
    tally.spend(kb.settings["comeback_minutes"])
    cures = [n for n, entry in enumerate(case.entries) if isinstance(entry, Repaired) and entry.cured]
    repair = case.take_back(cures[-1])
    assert isinstance(repair, Repaired)
    case.repaired(repair.repair, cured=False)
    return machine.run_down(), False


def _repaired(kb: Knowledge, case: Case, machine: Machine, repair: str) -> tuple[Machine, bool]:
    done = [fault for fault in machine.faults if kb.faults[fault].repair == repair]
    machine = machine.with_repaired(done, kb.repairs[repair].hides)
    cured = machine.behaviour() == "normal"
    case.repaired(repair, cured=cured)
    return machine, cured


def _outcome(drawn: Machine, tally: _Tally, needed: set[str], cured: bool) -> TrialOutcome:
    first = tally.repairs[0] if tally.repairs else None
    return TrialOutcome(
        tuple(sorted(drawn.faults)),
        tuple(drawn.degrees.get(fault) or "" for fault in sorted(drawn.faults)),
        drawn.intermittent,
        dict(drawn.equipment),
        first,
        first in needed,
        tally.named[0][0] if tally.named else None,
        tuple(tally.named),
        tuple(tally.wrong),
        tuple(tally.parts),
        cured,
        tuple(tally.readings),
        tally.before,
        tally.total,
        tuple(tally.seconds),
    )
