"""What a drop read under cranking current says about a leg, a cable and a joint."""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.physics.tables import PhysicsError


@dataclass(frozen=True, slots=True)
class LegSplit:
    """A leg's drop in two parts, in V; they add up to the reading.

    as_built: what the sound cable drops at that current. excess: what is left for joints
    and damage (below zero if the reading is lower than the cable alone would give: then
    current, gauge or length is not what was stated).
    """

    as_built: float
    excess: float


def leg_resistance(drop_volts: float | None, amperes: float | None) -> float:
    """Ohm of a leg: drop / current (Ohm's law).

    Raises:
        PhysicsError: the drop or the current is missing, or no current flows.
    """
    missing = [name for name, value in (("drop", drop_volts), ("cranking current", amperes)) if value is None]
    if missing:
        raise PhysicsError(f"The resistance of the leg needs the {' and the '.join(missing)}; read it first.")
    assert drop_volts is not None
    assert amperes is not None
    if amperes <= 0:
        raise PhysicsError("No current flows, so the drop tells nothing about the resistance.")
    return drop_volts / amperes


def split_leg(drop_volts: float, amperes: float, cable_ohms: float) -> LegSplit:
    """Split a leg's drop into cable as built and excess at its joints.

    Raises:
        PhysicsError: the current or the cable's resistance is not above zero.
    """
    if amperes <= 0 or cable_ohms <= 0:
        raise PhysicsError("Splitting a leg needs a current and a cable resistance above zero.")
    as_built = amperes * cable_ohms
    return LegSplit(as_built, drop_volts - as_built)


def joint_watts(drop_volts: float, amperes: float) -> float:
    """Heat in a joint in W: drop * current (Joule).

    >>> joint_watts(0.5, 600)
    300.0
    """
    return drop_volts * amperes
