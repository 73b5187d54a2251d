"""A case that cannot be tried: a name, a value or a line of it that is not known.

What: case files of the latest folder that are no YAML of a case, name what is not there, hold a value that
cannot be read, or expect a repair that does not cure the fault they expect. Whether what they expect comes
out is told by ``crankpath kb test``.

Why: a case that is not tried guards nothing.

Bad::

    readings: {positve_leg_drop: 0.8 V}

Good::

    readings: {positive_leg_drop: 0.8 V}
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from crankpath.engine.cases.casefile import CaseFile, read_case
from crankpath.engine.cases.replay import replay
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.folders import case_texts
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge


def check(survey: Survey) -> Iterator[Problem]:
    """Every problem of every case file, at its place."""
    kb = survey.kb
    if not kb.folders:
        return
    folder = kb.folders[-1]
    for file, text in case_texts(Path(folder)):
        case, problems = read_case(text, file)
        problems = problems if case is None else replay(kb, case).problems
        problems = problems or tuple(_of_another_fault(kb, case))
        yield from (replace(p, origin=replace(p.origin, file=file), folder=folder) for p in problems)


def _of_another_fault(kb: Knowledge, case: CaseFile | None) -> Iterator[Problem]:
    """A repair that is expected of a fault that it does not cure."""
    wanted = case.expect if case is not None else None
    if case is None or wanted is None or wanted.first is None:
        return
    if wanted.first not in kb.faults or wanted.repair not in kb.repairs:
        return
    own = kb.faults[wanted.first].repair
    if wanted.repair not in (own, kb.repairs[own].instead):
        message = f"{wanted.repair} does not cure {wanted.first}, which is expected first"
        origin = case.places.get("expect/repair", wanted.origin)
        yield Problem(origin, message, f"Type {own}, or expect another fault")
