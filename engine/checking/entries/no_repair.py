"""A fault whose repair does not say what to do.

What: the repair of a fault has no ``steps``, or no minutes. (A fault without ``repair`` is
found while the files are read.)

Why: the verdict ends in work; "replace it" is not yet an instruction, and a repair of no
minutes would always be tried first.

Bad::

    renew_splice: {label: renew the splice, minutes: 0}

Good::

    renew_splice: {label: renew the splice, steps: [ground cable off, new block, ...], minutes: 30}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """Repairs that some fault needs and that say too little."""
    needed = {fault.repair: fault.id for fault in survey.kb.faults.values()}
    for repair in survey.kb.repairs.values():
        if repair.id not in needed:
            continue
        lacks = [word for word, there in (("steps", repair.steps), ("minutes", repair.minutes)) if not there]
        if lacks:
            message = f"repair {repair.id} (of {needed[repair.id]}) has no {' and no '.join(lacks)}"
            yield problem(f"repairs/{repair.id}", repair.origin, message, f"Add '{lacks[0]}:'")
