"""What is made ready before a reading, one piece of work at a time, each with its own cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND, Measurement
from crankpath.shell.outlets.messages.preparations import PreparationStep, preparation_steps
from crankpath.shell.session.state import CaseState


def steps_left(
    state: CaseState, readings: Sequence[str], cautions: Sequence[str]
) -> tuple[PreparationStep, ...]:
    """The steps whose cautions were not passed yet. readings: the one asked for, and what is read with it."""
    setups = [s for m in readings for s in setups_of(state.case, m)]
    left = [
        replace(step, cautions=tuple(c for c in step.cautions if (readings[0], c) not in state.passed))
        for step in preparation_steps(state.case, setups, cautions)
    ]
    return tuple(step for step in left if step.cautions)


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
