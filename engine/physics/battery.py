"""Battery: internal resistance, rested voltage, and what the cold leaves of its power.

Voltages are of a 12 V battery unless a function takes the number of 12 V units in series.
"""

from __future__ import annotations

from crankpath.engine.physics.tables import PhysicsError, interpolate, load_tables


def internal_resistance(open_volts: float, loaded_volts: float, amperes: float) -> float:
    """Ohm, from the voltage without and with a load (Thevenin: (E - V) / I).

    Raises:
        PhysicsError: no load current, or the loaded voltage is above the open one.
    """
    if amperes <= 0:
        raise PhysicsError("Internal resistance needs a reading under load; the load current is missing.")
    if loaded_volts > open_volts:
        raise PhysicsError("The loaded voltage is above the open one; read both again at the posts.")
    return (open_volts - loaded_volts) / amperes


def power_left(degc: float) -> float:
    """Share of its cranking power at 27 degC that a full battery has (TM 5-4210-230, Table 3)."""
    return interpolate(load_tables()["battery_power"]["points"], degc)


def engine_need(degc: float) -> float:
    """Power that an engine asks for, against 27 degC (web table without citation)."""
    return interpolate(load_tables()["engine_need"]["points"], degc)


def rating_resistance(cca: float, degc: float = -18.0, standard: str = "sae") -> float:
    """Ohm of a full 12 V battery that just meets its cold-cranking rating, at degc.

    By the rating's definition the battery gives `cca` at -18 degC at 7.2 V (SAE) or 7.5 V
    (IEC 60095-1); elsewhere it is scaled by the power left (power at a given voltage goes
    with 1 / resistance).

    Raises:
        PhysicsError: the rating is not above zero or the standard is unknown.
    """
    table = load_tables()["cold_cranking"]
    if cca <= 0 or standard not in ("sae", "en"):
        raise PhysicsError("A cold-cranking rating is a number of amperes above zero, by 'sae' or 'en'.")
    cold = table[standard]
    at_test = (table["full"]["volts"] - cold["volts"]) / cca
    return float(at_test * power_left(cold["degc"]) / power_left(degc))


def rest_volts(charge: float, degc: float = 21.0, units: int = 1) -> float:
    """Rested V of `units` 12 V batteries in series at that charge: the table of TM 5-3805-262-20."""
    table = load_tables()["state_of_charge"]
    one = interpolate(table["points"], charge) + table["volts_per_degc"] * (degc - table["reference_degc"])
    return float(one * units)
