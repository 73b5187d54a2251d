"""A limit without a source.

What: a set of limits that names no reference.

Why: limits decide what is replaced; published ones conflict, and whoever doubts one must be
able to look it up.

Bad::

    limits:
      - at: [0.2, 0.4]

Good::

    limits:
      - at: [0.2, 0.4]
        source: [common_practice_limits]
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """Sets of limits that name no reference."""
    for measurement in survey.kb.measurements.values():
        for limits in measurement.limits:
            if not limits.sources:
                message = f"{measurement.id} limits: this set names no source"
                entry = f"measurements/{measurement.id}"
                yield problem(entry, limits.origin, message, "Add 'source: [reference]'")
