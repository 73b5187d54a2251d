"""A caution written at an act that its classes already carry.

What: a reading, a set-up, a state or a repair that names a caution which one of the classes it
``does`` carries, or which its state or set-ups carry.

Why: what is written twice is mended once. A caution belongs to the class, so that every act of it
carries the same.

Bad::

    hazards: {cranks: {cautions: [everybody_clear]}}
    states: {cranking: {does: [cranks], cautions: [everybody_clear]}}

Good::

    states: {cranking: {does: [cranks]}}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.engine.machine.safety import cautions_of_classes, does_of


def check(survey: Survey) -> Iterator[Problem]:
    """Cautions that are written once too often."""
    kb = survey.kb
    for entry, origin, own, carried in _acts(kb):
        for caution in own:
            if caution in carried:
                message = f"caution {caution} is carried by what the act does already"
                yield problem(entry, origin, message, "Take it out here")


def _acts(kb: Knowledge) -> Iterator[tuple[str, Origin, tuple[str, ...], set[str]]]:
    for section in (kb.setups, kb.states, kb.repairs):
        for act in section.values():
            name = {id(kb.setups): "setups", id(kb.states): "states"}.get(id(section), "repairs")
            yield f"{name}/{act.id}", act.origin, act.cautions, set(cautions_of_classes(kb, act.does))
    for m in kb.measurements.values():
        carried = set(cautions_of_classes(kb, does_of(kb, m))) | set(kb.states[m.state].cautions)
        setups = (kb.setups[name] for name in (*kb.states[m.state].setups, *m.setups))
        carried.update(caution for setup in setups for caution in setup.cautions)
        yield f"measurements/{m.id}", m.origin, m.cautions, carried
    for fault in kb.faults.values():
        repair = kb.repairs[fault.repair]
        does = (*repair.does, *(name for step in repair.steps for name in step.does))
        carried = {*cautions_of_classes(kb, does), *repair.cautions}
        yield f"faults/{fault.id}", fault.origin, fault.cautions, carried
