"""An entry that says how things are and not where that comes from.

What: faults, measurements, repairs, rules, fact rules, balances and cautions without ``source``.

Why: a figure without a source cannot be corrected, only believed. A reference may say
"common practice, no source"; that is an honest answer.

Bad::

    positive_splice: {label: bad splice, share: 0.01, repair: renew_splice}

Good::

    positive_splice: {label: bad splice, share: 0.01, repair: renew_splice, source: [our_shop]}
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import (
    Balance,
    Caution,
    EvidenceRule,
    FactRule,
    Fault,
    Measurement,
    Repair,
)

Sourced = Fault | Measurement | Repair | EvidenceRule | FactRule | Balance | Caution


def check(survey: Survey) -> Iterator[Problem]:
    """Entries that could name a source and do not."""
    kb = survey.kb
    sections: dict[str, Mapping[str, Sourced]] = {
        "faults": kb.faults, "measurements": kb.measurements, "repairs": kb.repairs, "rules": kb.rules,
        "facts": kb.facts, "balances": kb.balances, "cautions": kb.cautions,
    }  # fmt: skip
    for section, entries in sections.items():
        for entry in entries.values():
            if not entry.sources:
                message = f"{section} {entry.id} names no source"
                yield problem(f"{section}/{entry.id}", entry.origin, message, "Add 'source: [reference]'")
