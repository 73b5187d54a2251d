"""Readings that are added up and do not make the whole.

What: a balance whose parts are taken in another state than the whole; a part that stands twice; of a
sum, a part that lies outside the whole, parts that answer for one segment twice, or a segment of the
whole with a reading of its own that no part answers for.

Why: a sum that cannot come out accuses sound readings on every machine.

Bad::

    sort: sum
    whole: positive_leg_drop
    parts: [positive_post_drop, positive_cable_drop]        # and the joint at the stud?

Good::

    parts: [positive_post_drop, positive_cable_drop, starter_stud_drop]
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from crankpath.engine.checking.entry_problems import problem
from crankpath.engine.checking.survey import Survey
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.entries.machine import LOOP, SOURCE
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Balance


def check(survey: Survey) -> Iterator[Problem]:
    """The first slip of each balance; one of a reading that spoils several is told at the reading."""
    slips = {b.id: slip for b in survey.kb.balances.values() if (slip := _slip(survey, b)) is not None}
    spoilt = Counter(message.split(" ", 1)[0] for field, message, _ in slips.values() if field == "parts")
    told: set[str] = set()
    for balance in survey.kb.balances.values():
        found = slips.get(balance.id)
        part = found[1].split(" ", 1)[0] if found is not None else ""
        reading = survey.kb.measurements.get(part)
        if found is not None and reading is not None and spoilt[part] > 1:
            if part not in told:
                told.add(part)
                message = f"measurement {part}: in the balance {balance.id}, {found[1]}"
                yield problem(f"measurements/{part}", reading.origin, message, "Correct its leads", "between")
        elif found is not None:
            field, message, advice = found
            yield problem(
                f"balances/{balance.id}", balance.origin, f"balance {balance.id}: {message}", advice, field
            )


def _slip(survey: Survey, balance: Balance) -> tuple[str, str, str] | None:
    kb = survey.kb
    names = (balance.whole, *balance.parts)
    for name in names:
        if names.count(name) > 1:
            return "parts", f"{name} stands in it twice", "Keep it once"
    state = max(
        (kb.measurements[name].state for name in balance.parts),
        key=[kb.measurements[n].state for n in names].count,
    )
    for name in names:
        if kb.measurements[name].state != state:
            message = f"{name} is read in the state '{kb.measurements[name].state}', the others in '{state}'"
            return "whole" if name == balance.whole else "parts", message, "Add readings of one state only"
    if balance.sort != "sum":
        return None
    for model in survey.whole_machines:
        if balance.only is None or balance.only.holds(model.known) is True:
            found = _span_slip(survey, model, balance)
            if found is not None:
                return found
    return None


def _span_slip(survey: Survey, model: Model, balance: Balance) -> tuple[str, str, str] | None:
    """What the parts leave out of the whole, or count twice, on one machine."""
    whole = _passed(model, balance.whole)
    rest = set(whole)
    if not whole or any(name not in model.measurements for name in (balance.whole, *balance.parts)):
        return None
    for part in balance.parts:
        passed = _passed(model, part)
        if len(balance.parts) > 1 and not any(_passed(model, name) & whole for name in balance.parts):
            message = f"{balance.whole} answers for none of its parts"
            return "whole", message, "Name the reading they add up to"
        if outside := sorted(passed - whole):
            return (
                "parts",
                f"{part} answers for {outside[0]}, which {balance.whole} does not",
                "Take it out, or correct its leads",
            )
        if twice := sorted(passed - rest):
            return (
                "parts",
                f"{part} answers for {twice[0]}, which another part answers for already",
                "Keep one of them",
            )
        rest -= passed
    seen = [name for name in sorted(rest) if any(_passed(model, m) == {name} for m in model.measurements)]
    if seen:
        reading = next(m for m in model.measurements if _passed(model, m) == {seen[0]})
        return "parts", f"no part answers for {seen[0]}", f"Add {reading} to 'parts'"
    return None


def _passed(model: Model, measurement: str) -> frozenset[str]:
    """The segments between the leads of a reading; round the whole loop for one at the ends of the source."""
    found = model.measurements.get(measurement)
    if found is None or found.between is None:
        return frozenset()
    if found.spans:
        return model.circuit.span(found)
    return (
        frozenset(s.id for s in model.circuit.segments(LOOP))
        if _at_the_source(model, found.between)
        else frozenset()
    )


def _at_the_source(model: Model, ends: tuple[str, str]) -> bool:
    return any(set(s.ends) == set(ends) for s in model.circuit.segments(SOURCE))
