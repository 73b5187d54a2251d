"""Where the voltage of a source goes while its load works, from the readings of one try.

Kirchhoff's voltage law round the loop: what the rested source has is spent inside it, on the way to
the load, in what stands in series inside the load, in the rest of the load and on the way back. What
was not read follows from the others where the sum allows it.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class VoltageShare:
    """One part of the voltage.

    part: inside | there | inner | rest | load (inner and rest, not read apart) | back | not_read (what
    is left over). volts: 0 or more. read: False for what follows from the other readings.
    """

    part: str
    volts: float
    read: bool


def voltage_budget(
    *,
    rested: float | None = None,
    loaded: float | None = None,
    there: float | None = None,
    inner: float | None = None,
    load: float | None = None,
    back: float | None = None,
) -> tuple[VoltageShare, ...]:
    """The parts in the order of the current; empty where the readings do not tell the whole.

    Args:
        rested: the source at rest, V.
        loaded: the source while its load works, V.
        there, back: drop of each leg, V.
        inner: drop of what stands in series inside the load, V.
        load: across the load, `inner` included, V.

    >>> spent = voltage_budget(loaded=10.0, there=0.8, back=0.2)
    >>> [(s.part, round(s.volts, 2)) for s in spent]
    [('there', 0.8), ('load', 9.0), ('back', 0.2)]
    """
    legs_known = there is not None and back is not None
    posts = loaded
    if posts is None:
        if load is None or not legs_known:
            return ()
        posts = load + _or_zero(there) + _or_zero(back)
    machine, read = load, load is not None
    if machine is None and legs_known:
        machine = posts - _or_zero(there) - _or_zero(back)
    parts: list[VoltageShare] = []
    if rested is not None and rested >= posts:
        parts.append(VoltageShare("inside", rested - posts, loaded is not None))
    if there is not None:
        parts.append(VoltageShare("there", there, True))
    parts += _machine(machine, inner, read)
    if back is not None:
        parts.append(VoltageShare("back", back, True))
    left = posts - sum(spent.volts for spent in parts if spent.part != "inside")
    # A little over or under is the meter's; the check of sums tells of more than that.
    if left > 0.0 and (machine is None or not legs_known):
        parts.append(VoltageShare("not_read", left, False))
    return tuple(parts)


def _machine(machine: float | None, inner: float | None, read: bool) -> list[VoltageShare]:
    """What stands before the load and the load, apart where both are known."""
    if machine is None:
        return [] if inner is None else [VoltageShare("inner", inner, True)]
    if inner is None:
        return [VoltageShare("load", max(machine, 0.0), read)]
    return [VoltageShare("inner", inner, True), VoltageShare("rest", max(machine - inner, 0.0), False)]


def _or_zero(volts: float | None) -> float:
    return volts or 0.0
