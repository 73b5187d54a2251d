"""Resistance of copper cable from its gauge, length and temperature.

AWG sizes follow the geometry of ASTM B258 (diameter in inch = 0.005 * 92**((36 - n) / 39))
with the resistivity of the International Annealed Copper Standard. Metric sizes are the
maximum resistances of IEC 60228 class 5: computing them from the nominal area would
always come out too low.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from crankpath.engine.physics.tables import PhysicsError, load_tables

IACS_RESISTIVITY: Final = 1.7241e-8
"""Ohm metre at 20 degC (100 % IACS)."""
TEMPERATURE_COEFFICIENT: Final = 0.00393
"""Per kelvin, of copper at 20 degC (IEC 60028; AC 43.13-1B para 11-66 has 1/254.5)."""
METRES_PER_FOOT: Final = 0.3048
_METRES_PER_INCH: Final = 0.0254

_AUGHTS = re.compile(r"^([1-4])/0(?:awg|ga|gauge)?$|^(0{1,4})(?:awg|ga|gauge)?$")
_AWG = re.compile(r"^(?:awg)?(\d{1,2})(?:awg|ga|gauge)?$")
_METRIC = re.compile(r"^(\d+(?:\.\d+)?)(?:mm2|mm²|mm\^2|sqmm|qmm)$")
_LENGTH = re.compile(r"^(\d+(?:\.\d+)?|\.\d+)(m|metres?|meters?|cm|mm|ft|foot|feet|'|in|inch|inches|\")$")
_METRES: Final = {
    "m": 1.0,
    "cm": 0.01,
    "mm": 0.001,
    "'": METRES_PER_FOOT,
    "f": METRES_PER_FOOT,
    "i": _METRES_PER_INCH,
    '"': _METRES_PER_INCH,
}


@dataclass(frozen=True, slots=True)
class Gauge:
    """A cable size: an AWG number (0 for 1/0, -3 for 4/0) or mm2."""

    awg: int | None = None
    mm2: float | None = None

    def __str__(self) -> str:
        if self.mm2 is not None:
            return f"{self.mm2:g} mm2"
        assert self.awg is not None
        return f"{self.awg} AWG" if self.awg > 0 else f"{1 - self.awg}/0 AWG"

    @property
    def ohm_per_metre(self) -> float:
        """Resistance per metre at 20 degC.

        Raises:
            PhysicsError: a metric size that IEC 60228 does not list here.
        """
        if self.mm2 is not None:
            return metric_ohm_per_metre(self.mm2)
        assert self.awg is not None
        return awg_ohm_per_metre(self.awg)


def awg_diameter_inch(awg: int) -> float:
    """Diameter in inch (ASTM B258); awg is 0 for 1/0, -1 for 2/0, -2 for 3/0, -3 for 4/0.

    >>> round(awg_diameter_inch(-3), 4)
    0.46
    """
    return float(0.005 * 92 ** ((36 - awg) / 39))


def awg_area_mm2(awg: int) -> float:
    """Copper area in mm2 of that AWG number (ASTM B258)."""
    return math.pi / 4 * (awg_diameter_inch(awg) * 25.4) ** 2


def awg_ohm_per_metre(awg: int) -> float:
    """Ohm per metre at 20 degC (ASTM B258 area, IACS copper)."""
    return IACS_RESISTIVITY / (awg_area_mm2(awg) * 1e-6)


def metric_ohm_per_metre(mm2: float) -> float:
    """Maximum ohm per metre at 20 degC, plain copper, IEC 60228 class 5.

    Raises:
        PhysicsError: the size is not in the table; the message lists the sizes.
    """
    table = load_tables()["conductors"]["mohm_per_metre"]
    if mm2 not in table:
        sizes = ", ".join(f"{size:g}" for size in sorted(table))
        raise PhysicsError(
            f"There is no resistance for {mm2:g} mm2; take one of {sizes} mm2, or an AWG size."
        )
    return float(table[mm2]) / 1000


def parse_gauge(text: str) -> Gauge:
    """The size in a text such as "2/0 AWG", "AWG 4", "0000" or "70 mm2".

    Raises:
        PhysicsError: the text is no size; the message shows how to write one.
    """
    word = re.sub(r"\s+", "", text).lower().replace(",", ".")
    if found := _METRIC.match(word):
        return Gauge(mm2=float(found[1]))
    if found := _AUGHTS.match(word):
        return Gauge(awg=1 - (int(found[1]) if found[1] else len(found[2])))
    if (found := _AWG.match(word)) and word != found[1] and 0 < int(found[1]) <= 40:
        return Gauge(awg=int(found[1]))
    raise PhysicsError(f"'{text}' is no cable size; write it like 2/0 AWG, 4 AWG or 70 mm2.")


def parse_length(text: str) -> float:
    """Metres in a text such as "3 m", "2,5 m", "10 ft" or "10'".

    Raises:
        PhysicsError: the text is no length, has no unit, or is zero.
    """
    word = re.sub(r"\s+", "", text).lower().replace(",", ".")
    found = _LENGTH.match(word)
    if not found or float(found[1]) <= 0:
        raise PhysicsError(f"'{text}' is no length; write it with its unit, like 3 m or 10 ft.")
    unit = found[2]
    return float(found[1]) * _METRES.get(unit, _METRES.get(unit[0], 1.0))


def at_temperature(ohms: float, degc: float) -> float:
    """Resistance of copper at degc, from its resistance at 20 degC (0.00393 per kelvin).

    >>> round(at_temperature(1.0, 70), 4)
    1.1965
    """
    return ohms * (1 + TEMPERATURE_COEFFICIENT * (degc - 20))


def cable_resistance(gauge: Gauge, metres: float, degc: float = 20.0, in_parallel: int = 1) -> float:
    """Ohm of a run of one or several equal cables side by side.

    Raises:
        PhysicsError: length or count is not above zero.
    """
    if metres <= 0 or in_parallel < 1:
        raise PhysicsError("A cable run needs a length above zero and at least one cable.")
    return at_temperature(gauge.ohm_per_metre * metres, degc) / in_parallel
