"""Limits per 100 A for the whole main circuit (SAE J541, SAE J3053).

They speak of both legs together with every joint, from the battery terminals to the
motor's terminals; motor, relays and solenoid contacts are left out. A reading with
another span must not be held against them.
"""

from __future__ import annotations

from crankpath.engine.physics.tables import PhysicsError, load_tables


def volts_per_100_amperes(system_voltage: int, duty: str, standard: str = "sae_j541") -> float:
    """Allowed drop of both legs together at 100 A, in V.

    Raises:
        PhysicsError: the standard has no figure for that voltage and duty.
    """
    standards = load_tables()["volts_per_100_amperes"]
    if standard not in standards:
        raise PhysicsError(f"There is no standard '{standard}'; there are {', '.join(standards)}.")
    for limit in standards[standard]["limits"]:
        if limit["system_voltage"] == system_voltage and limit["duty"] == duty:
            return float(limit["volts"])
    raise PhysicsError(f"{standard} has no limit for {system_voltage} V, {duty} duty.")


def circuit_ohms(system_voltage: int, duty: str, standard: str = "sae_j541") -> float:
    """The same limit as a resistance in ohm.

    >>> round(circuit_ohms(12, "light"), 6)
    0.002
    """
    return volts_per_100_amperes(system_voltage, duty, standard) / 100
