"""Many machines, several policies, the same machines for each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from random import Random
from typing import Any, Final

from crankpath.engine.bayes.tables import Table
from crankpath.engine.cases.case import Case
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.physics.tables import PhysicsError, load_parameters
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.solved.machine import Machine
from crankpath.engine.trials.ahead.progress_accuracy import ForecastingPolicy, ProgressForecast
from crankpath.engine.trials.expert import ExpertOrder
from crankpath.engine.trials.paper import PaperOrder
from crankpath.engine.trials.policies import Advice, WithoutMeasuring, one_ahead
from crankpath.engine.trials.trial import Policy, TrialOutcome, run_trial

SORTS: Final = ("single", "intermittent", "double", "shop")
"""Sorts of faults: each by itself; then all together, as often as the knowledge base says a shop meets each.

The last is what stated chances speak of: that two faults at once are rare, say, is part of them.
"""

SLIPS: Final = "slips"
"""The machines of the first sort once more, read by somebody who takes one reading in so many wrongly."""

TURNS: Final = {"in_turn": False, "in_turn_intermittent": True}
"""Sorts in which every listed fault takes its turn, however seldom met: does it come and go?"""

POLICIES: Final[dict[str, Callable[[], Policy]]] = {
    "advice": Advice,
    "one_ahead": lambda: Advice(one_ahead),
    "paper": PaperOrder,
    "expert": ExpertOrder,
    "unmeasured": WithoutMeasuring,
}
"""Name -> a fresh policy for one machine."""


def machine_of(kb: Knowledge, seed: int, number: int, sort: str, parameters: str) -> Machine:
    """The machine with that number in a seeded series; the same whatever else is run.

    Args:
        seed: of the series.
        number: from 0.
        sort: one of `SORTS`, `TURNS` or `SLIPS`.
        parameters: the parameter set of the solved machine.
    """
    sort = "single" if sort == SLIPS else sort
    rng = Random(f"{seed}/{sort}/{parameters}/{number}")
    while True:
        try:
            if sort in TURNS:
                known = load_parameters(parameters)["faults"]
                faults = [fault for fault in kb.faults if fault in known]
                fault = faults[number % len(faults)]
                return draw_machine(rng, kb, parameters, {fault: None}, TURNS[sort])
            if sort == "shop":
                return _mixed(kb, rng, parameters)
            machine = _drawn(kb, rng, sort, parameters)
        except PhysicsError:
            continue  # these faults do not show on that equipment
        if machine.intermittent or rng.random() < _fails_every_time(kb, machine):
            return machine


def _drawn(kb: Knowledge, rng: Random, sort: str, parameters: str) -> Machine:
    if sort == "single":
        return draw_machine(rng, kb, parameters)
    first = draw_machine(rng, kb, parameters)
    if sort == "intermittent":
        fault = _comes_and_goes(kb, first, rng)
        return draw_machine(rng, kb, parameters, {fault: None}, True, first.equipment)
    second = draw_machine(rng, kb, parameters, equipment=first.equipment)
    both = sorted(first.faults | second.faults)  # in a fixed order: each draws from the same chance
    if len({kb.faults[fault].repair for fault in both}) < 2:
        raise PhysicsError("the same repair cures both")
    faults = {fault: first.degrees.get(fault, second.degrees.get(fault)) for fault in both}
    return _each_complained_of(draw_machine(rng, kb, parameters, faults, False, first.equipment))


def _each_complained_of(machine: Machine) -> Machine:
    """The machine, if each of its faults would be complained of alone: it is plain what repairs it needs."""
    for fault in machine.faults:
        others = machine.with_repaired(machine.faults - {fault})
        if others.behaviour() == "normal":
            raise PhysicsError(f"{fault} would not be complained of alone")
    return machine


def _mixed(kb: Knowledge, rng: Random, parameters: str) -> Machine:
    """One fault or two, there at every try or at some, by the chances before any reading."""
    sound = draw_machine(rng, kb, parameters, {})
    model, table = _told(kb, sound)
    listed = model.hypotheses
    there = rng.choices(listed.members[1:], listed.prior[1:])[0]
    faults: dict[str, str | None] = {model.elements[i].fault: model.elements[i].degree for i in there}
    every_time = table.chances(table.row_of(there))[0]
    comes_and_goes = rng.random() >= every_time
    machine = draw_machine(rng, kb, parameters, faults, comes_and_goes, sound.equipment)
    return _each_complained_of(machine)


def _told(kb: Knowledge, machine: Machine) -> tuple[Model, Table[Any]]:
    """What is known of such a machine, and how often its faults are told as of every try or of some."""
    model = Case(kb, machine.equipment).assessment.model
    table = model.table("occurrence", model.known)
    return model, table


def _fails_every_time(kb: Knowledge, machine: Machine) -> float:
    """How often such a complaint is one of every try, as the knowledge base has it.

    Shares are of all complaints; of those that never come and go, what comes and goes has less.
    """
    model, table = _told(kb, machine)
    there = enumerate(model.elements)
    members = tuple(index for index, e in there if machine.degrees.get(e.fault) == e.degree)
    return table.chances(table.row_of(members))[0]


def _comes_and_goes(kb: Knowledge, machine: Machine, rng: Random) -> str:
    """A fault by its share and by how often it comes and goes, as the knowledge base has them."""
    model, table = _told(kb, machine)
    weights: dict[str, float] = {}
    for index, element in enumerate(model.elements):
        row = table.chances(table.row_of((index,)))
        weights[element.fault] = weights.get(element.fault, 0.0) + element.chance * row[-1]
    return rng.choices(list(weights), list(weights.values()))[0]


def trials(
    kb: Knowledge,
    numbers: range,
    seed: int,
    sort: str,
    parameters: str,
    policy: str,
    clock: Callable[[], float] | None = None,
) -> Iterator[TrialOutcome]:
    """Run one policy over numbered machines, yielding outcomes one by one."""
    for number in numbers:
        machine = machine_of(kb, seed, number, sort, parameters)
        rng = Random(f"{seed}/{sort}/{parameters}/{number}/readings")
        slips = Random(f"{seed}/{number}/wrong takes") if sort == SLIPS else None
        yield run_trial(kb, machine, POLICIES[policy](), rng, clock, slips)


def progress_forecasts(
    kb: Knowledge, numbers: range, seed: int, sort: str, parameters: str
) -> Iterator[ProgressForecast]:
    """What the advice said was left to read on numbered machines, with what was then read."""
    for number in numbers:
        machine = machine_of(kb, seed, number, sort, parameters)
        policy = ForecastingPolicy(Advice())
        run_trial(kb, machine, policy, Random(f"{seed}/{sort}/{parameters}/{number}/readings"))
        yield from policy.foretold()
