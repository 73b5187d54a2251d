"""A fault whose work warns of nothing.

What: neither the fault nor its repair names a caution, nor does the repair anything that carries one.

Why: nearly all work on a starting circuit can burn, crush or explode something. Where it truly
cannot, silence this check and say so.

Bad::

    positive_splice: {label: bad splice, repair: renew_splice}

Good::

    positive_splice: {label: bad splice, repair: renew_splice, cautions: [ground_off_first]}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.machine.safety import cautions_of_classes


def check(survey: Survey) -> Iterator[Problem]:
    """Faults without any caution."""
    for fault in survey.kb.faults.values():
        repair = survey.kb.repairs[fault.repair]
        does = (*repair.does, *(name for step in repair.steps for name in step.does))
        if not (fault.cautions or repair.cautions or cautions_of_classes(survey.kb, does)):
            message = f"neither fault {fault.id} nor its repair {fault.repair} names a caution"
            yield problem(f"faults/{fault.id}", fault.origin, message, "Add 'cautions: [id]'")
