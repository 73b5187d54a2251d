"""What is made ready before a reading, one piece of work at a time, each with its own cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from crankpath.shell.outlets.messages.preparations import PreparationStep, preparation_steps, setups_for
from crankpath.shell.session.state import CaseState


def steps_left(
    state: CaseState, readings: Sequence[str], cautions: Sequence[str]
) -> tuple[PreparationStep, ...]:
    """The steps whose cautions were not passed yet. readings: the one asked for, and what is read with it."""
    here = state.case.assessment.model.measurements
    setups = [setup.id for name in readings for setup in setups_for(state.case, here[name])]
    left = [
        replace(step, cautions=tuple(c for c in step.cautions if (readings[0], c) not in state.passed))
        for step in preparation_steps(state.case, setups, cautions)
    ]
    return tuple(step for step in left if step.cautions)
