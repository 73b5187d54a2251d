"""Where the voltage of a battery goes while it cranks, from the readings of one crank.

Kirchhoff's voltage law round the main circuit: what the rested battery has is spent inside
it, along the positive leg, across the solenoid's contacts, in the starter and along the
negative leg. What was not read follows from the others where the sum allows it.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spent:
    """One part of the voltage.

    part: battery | positive_leg | contacts | starter | contacts_and_starter (not read apart)
    | negative_leg | not_read (what is left over). volts: 0 or more. read: False for what
    follows from the other readings.
    """

    part: str
    volts: float
    read: bool


def voltage_budget(
    *,
    rested: float | None = None,
    cranking: float | None = None,
    positive_leg: float | None = None,
    contacts: float | None = None,
    starter: float | None = None,
    negative_leg: float | None = None,
) -> tuple[Spent, ...]:
    """The parts in the order of the current; empty where the readings do not tell the whole.

    Args:
        rested: battery voltage at rest, V.
        cranking: battery voltage at the posts while cranking, V.
        positive_leg, negative_leg: drop of each leg, V.
        contacts: drop of the solenoid's main contacts, V.
        starter: from the starter's battery stud to its case, contacts included, V.

    >>> spent = voltage_budget(cranking=10.0, positive_leg=0.8, negative_leg=0.2)
    >>> [(s.part, round(s.volts, 2)) for s in spent]
    [('positive_leg', 0.8), ('contacts_and_starter', 9.0), ('negative_leg', 0.2)]
    """
    legs_known = positive_leg is not None and negative_leg is not None
    posts = cranking
    if posts is None:
        if starter is None or not legs_known:
            return ()
        posts = starter + _or_zero(positive_leg) + _or_zero(negative_leg)
    machine, read = starter, starter is not None
    if machine is None and legs_known:
        machine = posts - _or_zero(positive_leg) - _or_zero(negative_leg)
    parts: list[Spent] = []
    if rested is not None and rested >= posts:
        parts.append(Spent("battery", rested - posts, cranking is not None))
    if positive_leg is not None:
        parts.append(Spent("positive_leg", positive_leg, True))
    parts += _machine(machine, contacts, read)
    if negative_leg is not None:
        parts.append(Spent("negative_leg", negative_leg, True))
    left = posts - sum(spent.volts for spent in parts if spent.part != "battery")
    # A little over or under is the meter's; the check of sums tells of more than that.
    if left > 0.0 and (machine is None or not legs_known):
        parts.append(Spent("not_read", left, False))
    return tuple(parts)


def _machine(machine: float | None, contacts: float | None, read: bool) -> list[Spent]:
    """Contacts and motor, apart where both are known."""
    if machine is None:
        return [] if contacts is None else [Spent("contacts", contacts, True)]
    if contacts is None:
        return [Spent("contacts_and_starter", max(machine, 0.0), read)]
    return [Spent("contacts", contacts, True), Spent("starter", max(machine - contacts, 0.0), False)]


def _or_zero(volts: float | None) -> float:
    return volts or 0.0
