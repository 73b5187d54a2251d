"""Takes of one reading under the same conditions: which of them count, and how sure their figure is.

Takes that agree within their errors are one piece of evidence with a smaller error. A later take that
disagrees sets the earlier ones aside: they stay in the record, and count again once the later one is taken
back or a further take agrees with them. Of a fault that comes and goes, takes that differ with the fault
there are its scatter, and all of them count.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from math import hypot, inf, isinf, sqrt
from operator import mul
from typing import Final

from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import Measurement

REPEAT_PART: Final = 0.5
"""Part of the stated variance that is repeatability; only this part shrinks with repeats.

A knowledge base states one standard deviation for meter and repeatability together; the
meter's own error is the same in every repeat, so a mean cannot remove it.
"""


@dataclass(frozen=True, slots=True)
class AgreeingTakes:
    """Takes that agree, with the one figure they make.

    value: mean weighted by the errors, or what was observed. sd: its standard deviation in the
    measurement's unit, by meter error, typed range and the scatter of the takes; 0 for an
    observation. count: how many figures went into it.
    """

    readings: tuple[Reading, ...]
    value: float | str
    sd: float
    count: int


@dataclass(frozen=True, eq=False)
class PooledReading:
    """All takes of one reading under the same conditions: one piece of evidence.

    repair_epoch: how many repairs came before it. readings: the takes that stand, of all cables;
    set_aside: those that a later take replaced. groups: of the worst cable, the takes that stand,
    a group for each figure they make: one, or several where they are the scatter of a fault
    that comes and goes; the one seen most often comes first, of equals the latest.
    """

    measurement: Measurement
    repair_epoch: int
    symptom: bool
    groups: tuple[AgreeingTakes, ...]
    readings: tuple[Reading, ...]
    set_aside: tuple[Reading, ...] = ()

    @property
    def value(self) -> float | str:
        """The figure that stands, in the measurement's unit, or the observed value's id."""
        return self.groups[0].value

    @property
    def repeats(self) -> int:
        """How many figures agree on the value."""
        return self.groups[0].count

    @property
    def sd(self) -> float:
        """Standard deviation of the value in the measurement's unit, scatter of the fault included."""
        first, *others = self.groups
        if isinstance(first.value, str) or isinf(first.value):
            return 0.0
        away = [(g.count, g.value - first.value) for g in others if not isinstance(g.value, str)]
        whole = first.count + sum(count for count, _ in away)
        return hypot(first.sd, sqrt(sum(count * apart * apart for count, apart in away) / whole))


def pool(
    measurement: Measurement, repair_epoch: int, symptom: bool, takes: Sequence[Reading], scatters: bool
) -> PooledReading:
    """The takes of a reading, in the order in which they were taken, as one piece of evidence.

    Args:
        scatters: takes that differ are all kept, as the scatter of a fault that comes and goes;
            otherwise the latest and what agrees with it replace the others.
    """
    cables: dict[int, list[Reading]] = {}
    for take in takes:
        cables.setdefault(take.cable, []).append(take)
    standing = [_standing(measurement, own, scatters) for own in cables.values()]
    worst = max(standing, key=lambda groups: (_number(groups[0].value), groups[0].count))
    stand = {id(take) for group in chain(*standing) for take in group.readings}
    return PooledReading(
        measurement,
        repair_epoch,
        symptom,
        worst,
        tuple(take for take in takes if id(take) in stand),
        tuple(take for take in takes if id(take) not in stand),
    )


def _standing(m: Measurement, takes: Sequence[Reading], scatters: bool) -> tuple[AgreeingTakes, ...]:
    """The groups of one cable's takes that count."""
    groups: list[AgreeingTakes] = []
    left = list(takes)
    while left and (scatters or not groups):
        agreeing = [take for take in left if take is left[-1] or agree(m, take, left[-1])]
        groups.append(_together(m, agreeing))
        left = [take for take in left if not any(take is one for one in agreeing)]
    return tuple(sorted(groups, key=lambda group: -group.count))


def agree(measurement: Measurement, one: Reading, other: Reading) -> bool:
    """True where two takes differ by no more than their errors allow; observations must be the same."""
    if isinstance(one.value, str) or isinstance(other.value, str) or one.value == other.value:
        return one.value == other.value
    return measurement.error.agree(one.value, other.value, hypot(_typed(one), _typed(other)))


def _together(m: Measurement, takes: Sequence[Reading]) -> AgreeingTakes:
    """Takes that agree as one figure: their mean weighted by 1 / variance.

    Where the takes scatter more than their own errors say, their scatter counts (the ratio of
    Birge, Physical Review 40, 1932, 207; from memory).
    """
    value, count = takes[-1].value, sum(take.repeats for take in takes)
    if isinstance(value, str) or isinf(value):
        return AgreeingTakes(tuple(takes), value, 0.0, count)
    values = [_number(take.value) for take in takes]
    own = [_random_variance(m, take) for take in takes]
    least = min(own)
    weights = [least / variance if least > 0.0 else 1.0 for variance in own]
    whole = sum(weights)
    mean = sum(map(mul, weights, values)) / whole
    apart = sum(w * (v - mean) * (v - mean) for w, v in zip(weights, values, strict=True)) / whole
    random = max(least / whole, apart / max(len(takes) - 1, 1))
    meter = sqrt(1.0 - REPEAT_PART) * m.error.at(mean)
    return AgreeingTakes(tuple(takes), mean, hypot(meter, sqrt(random)), count)


def _random_variance(m: Measurement, take: Reading) -> float:
    """The variance of a take that another take does not share."""
    error = m.error.at(_number(take.value))
    return REPEAT_PART * error * error / take.repeats + _typed(take) * _typed(take)


def _typed(take: Reading) -> float:
    """What a typed range of half-width `spread` adds: spread / sqrt(3), a uniform distribution's."""
    return (take.spread or 0.0) / sqrt(3.0)


def _number(value: float | str) -> float:
    return -inf if isinstance(value, str) else float(value)
