"""Numbers and units as people type them: the small language below `crankpath.engine.typed.reading`.

Only spelling lives here (which text is which number in which unit), nothing about what a
reading may be. Text is folded first (`fold`): full-width digits, the various minus signs
and ohm signs become one form.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: value in the dimension's base unit = number * factor + offset.

    name: as written in messages ("mV"). dimension: the base unit ("V"). plain: in words.
    """

    name: str
    dimension: str
    plain: str
    factor: float
    offset: float = 0.0


UNITS: Final[dict[str, Unit]] = {
    unit.name: unit
    for unit in (
        Unit("V", "V", "volts", 1.0),
        Unit("mV", "V", "millivolts", 1e-3),
        Unit("kV", "V", "kilovolts", 1e3),
        Unit("A", "A", "amperes", 1.0),
        Unit("mA", "A", "milliamperes", 1e-3),
        Unit("uA", "A", "microamperes", 1e-6),
        Unit("kA", "A", "kiloamperes", 1e3),
        Unit("ohm", "ohm", "ohms", 1.0),
        Unit("mohm", "ohm", "milliohms", 1e-3),
        Unit("kohm", "ohm", "kilohms", 1e3),
        Unit("Mohm", "ohm", "megohms", 1e6),
        Unit("rpm", "rpm", "revolutions a minute", 1.0),
        Unit("%", "%", "percent", 1.0),
        Unit("degC", "degC", "degrees Celsius", 1.0),
        Unit("degF", "degC", "degrees Fahrenheit", 5 / 9, -160 / 9),
        Unit("L", "L", "litres", 1.0),
        Unit("m", "m", "metres", 1.0),
        Unit("cm", "m", "centimetres", 1e-2),
        Unit("ft", "m", "feet", 0.3048),  # exact, the international foot
    )
}

_SPELLINGS: Final[dict[str, str]] = {
    "V": "v volt volts vdc vdc. v. dcv vlts vlt volst",
    "mV": "mv mvs millivolt millivolts milivolt milivolts mvdc mvolt mvolts millis milli mv.",
    "kV": "kv kilovolt kilovolts",
    "A": "a amp amps ampere amperes adc a. amps. ams",
    "mA": "ma milliamp milliamps milliampere milliamperes miliamp miliamps mamp mamps ma.",
    "uA": "ua μa microamp microamps",
    "kA": "ka kiloamp kiloamps kiloampere kiloamperes",
    "ohm": "ohm ohms ω r",
    "mohm": "mohm mohms mω milliohm milliohms miliohm miliohms",
    "kohm": "kohm kohms kω kilohm kilohms kiloohm kiloohms",
    "Mohm": "megohm megohms megaohm megaohms",
    "rpm": "rpm rpms r/min rev/min revs/min min-1 1/min revs u/min",
    "%": "% percent pct per_cent prozent",
    "degC": "c °c degc deg_c celsius degree degrees deg grad kelvin",
    "degF": "f °f degf deg_f fahrenheit",
    "L": "l litre litres liter liters ltr",
    "m": "m metre metres meter meters",
    "cm": "cm centimetre centimetres centimeter centimeters",
    "ft": "ft foot feet '",
}
_BY_SPELLING: Final = {word: UNITS[name] for name, words in _SPELLINGS.items() for word in words.split()}
_MINUS: Final = str.maketrans(dict.fromkeys("\u2212\u2010\u2011\u2012\u2013\u2014\ufe63\u207b", "-"))

NUMBER: Final = re.compile(r"(?:\d+|[.,]\d+)(?:[.,]\d+)*(?:e[+-]?\d{1,4}(?![a-z\d]))?", re.IGNORECASE)
"""A number without its sign, digits and separators only (see `number_in`)."""


def fold(text: str) -> str:
    """The text in one line, with full-width and compatibility signs made plain and one kind of minus."""
    plain = unicodedata.normalize("NFKC", text).translate(_MINUS).replace("\u2019", "'")
    return "".join(sign if sign.isprintable() else " " for sign in plain).strip()


def unit_called(word: str) -> Unit | None:
    """The unit a word means, or None.

    Case is ignored except between mega and milli of ohms, which a meter tells apart
    by it; nobody reads megavolts on a machine.

    >>> unit_called("MV").name, unit_called("MΩ").name, unit_called("mohm").name
    ('mV', 'Mohm', 'mohm')
    """
    if re.fullmatch(r"M(?:Ω|ohms?|OHMS?)", word):
        return UNITS["Mohm"]
    return _BY_SPELLING.get(word.lower())


def in_unit(number: float, unit: Unit, wanted: str) -> float | None:
    """The number converted to the unit named `wanted`; None if the dimensions differ.

    >>> round(in_unit(350, UNITS["mV"], "V"), 6)
    0.35
    """
    target = UNITS.get(wanted)
    if target is None:
        return number if unit.name == wanted else None
    if target.dimension != unit.dimension:
        return None
    if target is unit:
        return number
    if unit.offset or target.offset:
        return (number * unit.factor + unit.offset - target.offset) / target.factor
    ratio = unit.factor / target.factor
    whole = round(1 / ratio) if ratio < 1 else 0
    # dividing by a whole number gives the nearest float (350 / 1000), multiplying by 0.001 may not
    return number / whole if whole and abs(1 / ratio - whole) < 1e-9 else number * ratio


def siblings(unit: str) -> tuple[Unit, ...]:
    """The other units of the same dimension, in the order of `UNITS`."""
    own = UNITS.get(unit)
    return tuple(u for u in UNITS.values() if own and u.dimension == own.dimension and u.name != unit)


def number_in(token: str) -> tuple[float, ...]:
    """Every number the token can mean: one, or two where a comma or point may group thousands.

    The first is the reading with the separator as decimal sign. An empty tuple: no number.

    >>> number_in("0,35"), number_in("1,250"), number_in("1,250.5"), number_in("0.4.2")
    ((0.35,), (1.25, 1250.0), (1250.5,), ())
    """
    mantissa, _, exponent = token.lower().partition("e")
    if re.fullmatch(r"\d+", mantissa):
        plain = [mantissa]
    elif re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", mantissa):
        plain = [mantissa.replace(",", "."), re.sub("[.,]", "", mantissa)]
    elif re.fullmatch(r"\d*[.,]\d+", mantissa):
        plain = [mantissa.replace(",", ".")]
    elif re.fullmatch(r"\d{1,3}(,\d{3})+(\.\d+)?", mantissa):
        plain = [mantissa.replace(",", "")]
    elif re.fullmatch(r"\d{1,3}(\.\d{3})+(,\d+)?", mantissa):
        plain = [mantissa.replace(".", "").replace(",", ".")]
    else:
        return ()
    return tuple(float(p + ("e" + exponent if exponent else "")) for p in plain)


def tokens_of(run: str) -> list[str]:
    """A run of digits and separators cut where a comma only parts numbers: "0.4,0.42" is two."""
    if re.fullmatch(r"\d*\.\d+(?:,\d*\.\d+)+", run):
        return run.split(",")
    return [run]
