"""What luck alone may do: a sound machine whose operator complains, a wrong repair that stands its proof."""

from __future__ import annotations

from random import Random
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.entries import Tries
from crankpath.engine.inference.failure_rate import crank_proof
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.drawn.draw import draw_machine
from crankpath.engine.trials.policies import Advice

_MOST_STEPS: Final = 40
_COMPLAINTS: Final = ("slow", "single_click", "silent")  # what operators tell of sound machines, too
_WRONG_RATES: Final = (0.10, 0.60)  # chance that a try fails, of machines that were repaired wrongly
_HONEST_TRIES: Final = (6, 20)  # tries that the operator counted before the repair


def part_named_though_sound(kb: Knowledge, rng: Random, parameters: str) -> str | None:
    """The part that the advice would replace on a machine that is sound and cranks at every try; or None."""
    machine = draw_machine(rng, kb, parameters, {})
    case = Case(kb, machine.equipment)
    case.record("occurrence", "intermittent")
    bands = case.assessment.model.measurements["crank_behaviour"].bands
    case.record("crank_behaviour", rng.choice([band for band in _COMPLAINTS if band in bands]))
    policy = Advice()
    for _ in range(_MOST_STEPS):
        step = policy.next(case)
        if step.action == "repair" and step.name is not None:
            if kb.repairs[step.name].parts_cost > kb.settings["cheap_parts"]:
                return step.name
            case.repaired(step.name, cured=None)
            return None
        if step.action != "measure" or step.name is None:
            return None
        value = machine.read(step.name, rng, False)
        if value is None:
            case.cannot(step.name)
        else:
            case.record(step.name, value, symptom=not case.assessment.shows(kb.measurements[step.name]))
    return None


def passes_though_not_fixed(kb: Knowledge, rng: Random) -> bool:
    """Whether a wrong repair of a fault that shows in 10 to 60 % of tries stands its proof by luck."""
    rate, counted = rng.uniform(*_WRONG_RATES), rng.randint(*_HONEST_TRIES)
    failures = sum(rng.random() < rate for _ in range(counted))
    prior = kb.settings["failure_rate_prior_a"], kb.settings["failure_rate_prior_b"]
    proof = crank_proof((Tries(failures, counted),), *prior, kb.settings["proof_level"])
    return all(rng.random() >= rate for _ in range(proof.cranks))
