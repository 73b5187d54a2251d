"""Many machines, several policies, the same machines for each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from random import Random
from typing import Final

from crankpath.engine.knowledge import Knowledge
from crankpath.engine.physics.draw import draw_machine
from crankpath.engine.physics.machine import Machine
from crankpath.engine.trials.lookahead import two_step
from crankpath.engine.trials.paper import PaperOrder
from crankpath.engine.trials.policies import Advice, WithoutMeasuring
from crankpath.engine.trials.trial import Outcome, Policy, run_trial

SORTS: Final = ("single", "intermittent", "double")

POLICIES: Final[dict[str, Callable[[], Policy]]] = {
    "advice": Advice,
    "two_step": lambda: Advice(two_step),
    "paper": PaperOrder,
    "unmeasured": WithoutMeasuring,
}
"""Name -> a fresh policy for one machine."""


def machine_of(kb: Knowledge, seed: int, number: int, sort: str, parameters: str) -> Machine:
    """The machine with that number in a seeded series; the same whatever else is run.

    Args:
        seed: of the series.
        number: from 0.
        sort: single, intermittent or double.
        parameters: the parameter set of the solved machine.
    """
    rng = Random(f"{seed}/{sort}/{parameters}/{number}")
    count = 2 if sort == "double" else 1
    return draw_machine(rng, kb, parameters, count=count, intermittent=sort == "intermittent")


def trials(
    kb: Knowledge,
    numbers: range,
    seed: int,
    sort: str,
    parameters: str,
    policy: str,
    clock: Callable[[], float] | None = None,
) -> Iterator[Outcome]:
    """Run one policy over numbered machines, yielding outcomes one by one."""
    for number in numbers:
        machine = machine_of(kb, seed, number, sort, parameters)
        rng = Random(f"{seed}/{sort}/{parameters}/{number}/readings")
        yield run_trial(kb, machine, POLICIES[policy](), rng, clock)
