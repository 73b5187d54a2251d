"""Which limits are in force, and which band a value lies in: for people and for fact rules.

The ranking does not hang on them; it is a smooth function of the reading.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import pairwise

from crankpath.engine.errors import CaseError
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import HealthyReading, LimitSet, Measurement


def limit_set_in_force(measurement: Measurement, facts: Facts) -> LimitSet:
    """The first set of limits whose condition holds and whose quantities are all known.

    Raises:
        CaseError: no set can be used; the sentence names the facts that are missing.
    """
    return _in_force(measurement, facts)[0]


def limits_in_force(measurement: Measurement, facts: Facts) -> tuple[float, ...]:
    """The upper limits between the bands, ascending, in the measurement's unit.

    One fewer than the bands; empty for an observation. Raises like `limit_set_in_force`.
    """
    return _in_force(measurement, facts)[1] if measurement.numeric else ()


def _in_force(measurement: Measurement, facts: Facts) -> tuple[LimitSet, tuple[float, ...]]:
    for limits in measurement.limits:
        if limits.given is None or limits.given.holds(facts) is True:
            at = _numbers(limits, facts)
            if at is not None:
                return limits, at
    needed = {name for limits in measurement.limits for name in _names(limits)}
    missing = ", ".join(sorted(name for name in needed if not facts.known(name)))
    hint = f"tell {missing} first" if missing else "its limits in the knowledge base do not ascend"
    raise CaseError(f"No limits of {measurement.label} hold for this machine; {hint}.")


def _numbers(limits: LimitSet, facts: Facts) -> tuple[float, ...] | None:
    """The limits as numbers, or None if one is unknown or they do not ascend with these facts."""
    at = [q.value(facts.values) if isinstance(q, Formula) else float(q) for q in limits.at]
    known = [q for q in at if q is not None and math.isfinite(q)]
    ascend = all(low < high for low, high in pairwise(known))
    return tuple(known) if len(known) == len(at) and ascend else None


def _names(limits: LimitSet) -> set[str]:
    formulas = set().union(*(q.names() for q in limits.at if isinstance(q, Formula)))
    return formulas | (set(limits.given.names()) if limits.given else set())


def shares_of(taken: PooledReading) -> tuple[float, ...]:
    """Weight of each value of an observation, summing to 1: shared out where a fault scatters."""
    whole = sum(group.count for group in taken.groups)
    seen = dict.fromkeys(taken.measurement.bands, 0.0)
    for group in taken.groups:
        seen[taken.measurement.finer.get(str(group.value), str(group.value))] += group.count / whole
    return tuple(seen.values())


def band_of(measurement: Measurement, value: float | str, facts: Facts) -> str:
    """The band that a value lies in by the limits alone; a value at a limit is within it.

    Raises:
        CaseError: no limits in force, no such band, or the value is not a number.
    """
    if isinstance(value, str):
        band = measurement.finer.get(value, value)
        if band not in measurement.bands:
            known = ", ".join(measurement.choices)
            raise CaseError(f"{measurement.label} has no value '{value}'; it has {known}.")
        return band
    if math.isnan(value) or not measurement.numeric:
        raise CaseError(f"{value} is no reading of {measurement.label}.")
    return measurement.bands[bisect_left(limits_in_force(measurement, facts), value)]


def healthy_in_force(measurement: Measurement, facts: Facts) -> HealthyReading:
    """The first healthy entry whose condition holds (unknown counts as not)."""
    for healthy in measurement.healthy:
        if healthy.given is None or healthy.given.holds(facts) is True:
            return healthy
    raise CaseError(f"{measurement.label} does not say what it reads on a healthy circuit of this machine.")
