"""An act that by its own words does something dangerous and does not say so.

What: a step of a repair, a step of a reading, or a way of a set-up whose text holds a phrase of a
class of hazards (``said``), while neither it nor what it belongs to ``does`` that class.

Why: cautions and stops follow what an act is said to do. A step that cranks and does not say so is
offered beside a locked engine, without a word of warning.

Bad::

    hazards: {cranks: {label: cranks, said: [while cranking]}}
    repairs: {clean_post: {steps: [Read the drop while cranking.]}}

Good::

    repairs: {clean_post: {steps: [{step: Read the drop while cranking., does: [cranks]}]}}
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge, Origin
from crankpath.engine.machine.safety import classes_of, does_of

_Act = tuple[str, Origin, str, tuple[str, ...]]  # entry, place, text, what it does


def check(survey: Survey) -> Iterator[Problem]:
    """Acts whose words tell of a class that they do not name."""
    kb = survey.kb
    said = {
        hazard.id: re.compile("|".join(rf"\b{re.escape(phrase)}" for phrase in hazard.said), re.IGNORECASE)
        for hazard in kb.hazards.values()
        if hazard.said
    }
    for entry, origin, text, does in _acts(kb):
        classes = classes_of(kb, does)
        for name, phrases in said.items():
            found = phrases.search(text)
            if found and name not in classes:
                message = f"'{found[0]}' is {kb.hazards[name].label}, which the act does not say"
                yield problem(entry, origin, message, f"Add 'does: [{name}]', or a class that counts as it")


def _acts(kb: Knowledge) -> Iterator[_Act]:
    for repair in kb.repairs.values():
        for step in repair.steps:
            yield f"repairs/{repair.id}", repair.origin, step.text, (*repair.does, *step.does)
    for setup in kb.setups.values():
        for way in setup.ways:
            yield f"setups/{setup.id}", setup.origin, way.how, (*setup.does, *way.does)
    for measurement in kb.measurements.values():
        for text in measurement.steps:
            yield f"measurements/{measurement.id}", measurement.origin, text, does_of(kb, measurement)
