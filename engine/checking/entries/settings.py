"""Settings that exclude each other.

What: of two settings of which one must be the smaller, it is not: what is worth trying and what is likely
enough, the shortest crank and the longest, the slowest and the fastest.

Why: between them nothing is left, and the program never does what both are for.

Bad::

    crank_shortest: {value: 0.2}
    crank_longest: {value: 0.06}

Good::

    crank_longest: {value: 60}
"""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.entries.policy import IN_ORDER
from crankpath.engine.knowledge.problems import Problem


def check(survey: Survey) -> Iterator[Problem]:
    """One problem for each pair, at the setting of the shop's folder if only one is its own."""
    kb = survey.kb
    values, origins = kb.settings.values, kb.settings.origins
    for small, large in IN_ORDER:
        if small in values and large in values and values[small] >= values[large]:
            own = [name for name in (small, large) if f"settings/{name}" in kb.replaced]
            name = own[0] if len(own) == 1 else large
            other = large if name == small else small
            message = (
                f"setting {name} is {values[name]:g}, and {other} is {values[other]:g}: {small} "
                "must be the smaller one"
            )
            yield problem(f"settings/{name}", origins[name], message, "Correct one of them", "value")
