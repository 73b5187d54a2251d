"""A case that cannot be tried: a name, a value or a line of it that is not known.

What: case files of the latest folder that are no YAML of a case, name what is not there, or hold a value that
cannot be read. Whether what they expect comes out is told by ``crankpath kb test``.

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

from crankpath.engine.cases.casefile import read_case
from crankpath.engine.cases.replay import replay
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.folders import case_texts
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """Every problem of every case file, at its place."""
    kb = survey.kb
    if not kb.folders:
        return
    folder = kb.folders[-1]
    for file, text in case_texts(Path(folder)):
        case, problems = read_case(text, file)
        problems = problems if case is None else replay(kb, case).problems
        yield from (replace(p, origin=replace(p.origin, file=file), folder=folder) for p in problems)
