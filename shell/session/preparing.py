"""What is made ready before a reading, one piece of work at a time, each with its own cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Measurement
from crankpath.shell.session.state import CaseState


@dataclass(frozen=True, slots=True)
class PreparationStep:
    """Work that is done at once: ids of set-ups, and of the cautions to be seen before it.

    Without set-ups it is the reading itself.
    """

    setups: tuple[str, ...]
    cautions: tuple[str, ...]


def steps_left(
    state: CaseState, readings: Sequence[str], cautions: Sequence[str]
) -> tuple[PreparationStep, ...]:
    """The work before readings that is not made yet, in order; last the readings themselves.

    Args:
        state: the case.
        readings: the one asked for, and what is read with it.
        cautions: every caution that goes with them. Each stands once, before the first work that it
            belongs to; those that facts of the machine call for come first of all.
    """
    guard, kb = state.case.guard, state.kb
    free = list(cautions)
    pieces: list[tuple[list[str], list[str]]] = []
    for name in dict.fromkeys(s for m in readings for s in setups_of(state.case, m)):
        own = guard.cautions_of_setup(kb.setups[name])
        told = [c for c in free if c in own or (not pieces and c in guard.cautions_of_facts)]
        free = [c for c in free if c not in told]
        if pieces and (not told or not pieces[-1][1]):
            pieces[-1][0].append(name)
            pieces[-1][1].extend(told)
        else:
            pieces.append(([name], told))
    if pieces and not pieces[-1][1]:
        pieces[-1][1].extend(free)
    else:
        pieces.append(([], free))
    unseen = [(s, tuple(c for c in told if (readings[0], c) not in state.passed)) for s, told in pieces]
    return tuple(PreparationStep(tuple(setups), told) for setups, told in unseen if told)


def setups_of(case: Case, measurement: str) -> tuple[str, ...]:
    """Work that this reading needs and no earlier one needed; what the operator told needed none."""
    kb = case.kb

    def needed(m: Measurement) -> tuple[str, ...]:
        return (*kb.states[m.state].setups, *m.setups)

    told = {SYMPTOM_KIND, HISTORY_KIND}
    taken = [t.measurement for t in case.assessment.taken if not told & set(t.measurement.kinds)]
    made = {s for m in taken for s in needed(m)}
    return tuple(
        dict.fromkeys(s for s in needed(case.assessment.model.measurements[measurement]) if s not in made)
    )
