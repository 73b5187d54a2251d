"""A fault whose repair no reading proves.

What: no ``proof``; or a proof that reads, with the fault, much as on a healthy circuit, so that
a good reading afterwards proves nothing.

Why: a repair is done when a reading says so. For a fault that is seen only by looking, name
that look.

Bad::

    positive_splice: {label: bad splice, repair: renew_splice}

Good::

    positive_splice: {label: bad splice, repair: renew_splice, proof: positive_splice_drop}
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Slot, Survey, apart
from crankpath.engine.inference.bands import healthy_in_force
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.problems import Problem

SHOWS: Final = 0.3
"""Least total variation between faulty and healthy readings for a proof."""


def check(survey: Survey) -> Iterator[Problem]:
    """Faults without a proof, or with one in which no degree of them shows."""
    shown = {(s.fault.id, s.measurement.id) for s in survey.slots if _shows(survey, s)}
    for fault in survey.kb.faults.values():
        if fault.proof is None:
            message = f"fault {fault.id} has no 'proof': which reading shows that its repair worked?"
            yield problem(f"faults/{fault.id}", fault.origin, message, "Add 'proof: measurement'")
        elif (fault.id, fault.proof) not in shown:
            message = f"fault {fault.id}: its proof {fault.proof} reads much the same with it as without"
            advice = "Name a reading that the fault changes, or write the rule that says how"
            yield problem(f"faults/{fault.id}", fault.origin, message, advice, "proof")


def _shows(survey: Survey, slot: Slot) -> bool:
    if slot.fault.proof != slot.measurement.id:
        return False
    rows = [row for rule in slot.rules if (row := survey.row(rule, slot.measurement)) is not None]
    usual = survey.with_defaults(Facts({}, {}))
    healthy = survey.healthy_row(healthy_in_force(slot.measurement, usual), slot.measurement, usual)
    return healthy is not None and any(apart(row, healthy) >= SHOWS for row in rows)
