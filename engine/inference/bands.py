"""Which limits are in force, and how a value is shared among the bands.

A reading near a limit is soft evidence: the true value is the reading with a normal error,
so each band gets the probability that the true value lies in it. The shares are continuous
in the reading; there is no jump at a limit.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import pairwise

from crankpath.engine.errors import CaseError
from crankpath.engine.inference.pooled_readings import PooledReading, standard_deviation
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


def band_shares(
    measurement: Measurement,
    value: float | str,
    facts: Facts,
    sd: float | None = None,
) -> tuple[float, ...]:
    """The share of each band in a reading, aligned with the bands, summing to 1.

    Args:
        measurement: what was read.
        value: in the unit, inf for an open circuit; a band's name counts wholly for it.
        facts: decide which limits are in force.
        sd: standard deviation of the value, in the unit; a single take's by default.

    Raises:
        CaseError: no limits in force, no such band, or the value is not a number.
    """
    if isinstance(value, str):
        return _whole(measurement, value)
    if math.isnan(value) or not measurement.numeric:
        raise CaseError(f"{value} is no reading of {measurement.label}.")
    if math.isinf(value):
        return _whole(measurement, measurement.bands[-1 if value > 0 else 0])
    limits = limits_in_force(measurement, facts)
    sd = standard_deviation(measurement, value) if sd is None else sd
    if sd == 0.0:
        return _whole(measurement, _hard(measurement, value, limits))
    below = (0.0, *(_normal_below((limit - value) / sd) for limit in limits), 1.0)
    return tuple(high - low for low, high in pairwise(below))


def shares_of(taken: PooledReading, facts: Facts) -> tuple[float, ...]:
    """Weight of each band, summing to 1: soft near a limit, shared out where a fault scatters."""
    whole = sum(group.count for group in taken.groups)
    rows = [(g.count / whole, band_shares(taken.measurement, g.value, facts, g.sd)) for g in taken.groups]
    return tuple(sum(part * row[band] for part, row in rows) for band in range(len(rows[0][1])))


def _normal_below(z: float) -> float:
    """The standard normal distribution function, Phi(z)."""
    return 0.5 * (1.0 + math.erf(z / math.sqrt(2.0)))


def _whole(measurement: Measurement, band: str) -> tuple[float, ...]:
    if band not in measurement.bands:
        raise CaseError(f"{measurement.label} has no value '{band}'; it has {', '.join(measurement.bands)}.")
    return tuple(float(b == band) for b in measurement.bands)


def _hard(measurement: Measurement, value: float, limits: tuple[float, ...]) -> str:
    return measurement.bands[bisect_left(limits, value)]


def band_of(measurement: Measurement, value: float | str, facts: Facts) -> str:
    """The band that a value lies in by the limits alone; a value at a limit is within it."""
    if isinstance(value, str) or math.isinf(value) or math.isnan(value):
        shares = band_shares(measurement, value, facts)
        return measurement.bands[shares.index(1.0)]
    if not measurement.numeric:
        raise CaseError(f"{value} is none of {', '.join(measurement.bands)} ({measurement.label}).")
    return _hard(measurement, value, limits_in_force(measurement, facts))


def healthy_in_force(measurement: Measurement, facts: Facts) -> HealthyReading:
    """The first healthy entry whose condition holds (unknown counts as not)."""
    for healthy in measurement.healthy:
        if healthy.given is None or healthy.given.holds(facts) is True:
            return healthy
    raise CaseError(f"{measurement.label} does not say what it reads on a healthy circuit of this machine.")
