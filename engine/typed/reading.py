"""What a person typed, as a value in the measurement's unit; or a sentence why not.

Nothing is guessed silently: whatever was assumed is in `Understood.note`, and what is
understood but not believable raises `DoubtfulReading` with what was probably meant.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.errors import DoubtfulReading, ReadingError
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.problems import quoted
from crankpath.engine.knowledge.records import Measurement, Quantity
from crankpath.engine.typed import spelling
from crankpath.engine.typed.phrase import Phrase, TypedNumber, parse
from crankpath.engine.typed.units import UNITS, Unit, fold, in_unit, siblings

_USABLE: Final = 0.2  # a voltage that should be there is suggested only above this part of its most


@dataclass(frozen=True, slots=True)
class Understood:
    """A reading as understood.

    Attributes:
        value: a number in the measurement's unit (inf: open circuit), or the name of an
            observation's value.
        text: as typed.
        note: what was assumed, in a sentence without capital or stop, or None.
        spread: half of the range in the measurement's unit, when one was typed; of several figures,
            the half-width of an even spread as wide as the standard deviation of their mean.
        repeats: how many figures the value is the mean of.
    """

    value: float | str
    text: str
    note: str | None = None
    spread: float | None = None
    repeats: int = 1


_OPENS = "ohm"  # the unit in which a reading without end has a meaning


def understand(measurement: Measurement, typed: str | float | int, facts: Facts) -> Understood:
    """The value that was typed for a measurement.

    Args:
        measurement: what was read.
        typed: text as typed, or a number in the measurement's unit.
        facts: what is known of the machine, for limits that are formulas.

    Raises:
        DoubtfulReading: understood but impossible or not believable there; ``suggestion``
            is what was probably meant.
        ReadingError: not understood, or the unit does not fit.
    """
    if isinstance(typed, bool) or not isinstance(typed, (str, int, float)):
        raise ReadingError(f"A reading of {measurement.label} is text or a number, not {quoted(typed)}.")
    if not measurement.numeric:
        return _observed(measurement, str(typed))
    if isinstance(typed, str):
        return _read(measurement, typed, facts)
    number = float(typed) if abs(typed) < 1e300 else math.inf
    if typed == math.inf and measurement.unit == _OPENS:
        return Understood(math.inf, f"{typed}", "no end of resistance: taken as open")
    _must_be_finite(measurement, number)
    value, note = _sign(measurement, number)
    as_typed = TypedNumber((number,), UNITS.get(measurement.unit or ""), f"{value:g}")
    _possible(measurement, value, as_typed, facts)
    return Understood(value, f"{typed}", note)


def _read(measurement: Measurement, typed: str, facts: Facts) -> Understood:
    text = fold(typed)
    phrase = parse(text)
    if phrase.shape == "overload":
        return _overload(measurement, phrase, typed)
    if phrase.shape == "zero":
        _must_fit(measurement, phrase.unit, text)
        _possible(measurement, 0.0, TypedNumber((0.0,), phrase.unit, "0"), facts)
        return Understood(0.0, typed, f"'{text}' taken as 0 {measurement.unit}")
    error = [n for n in phrase.numbers if n.mark == "error"]
    if len(error) == len(phrase.numbers):
        raise ReadingError(f"'{text}' says how far the reading may be off; give the figure too.")
    figures = [n for n in phrase.numbers if n.mark != "error"]
    if {n.mark for n in figures} == {"low", "high"} and measurement.of_min_max is not None:
        figures = [n for n in figures if f"{n.mark}est" == measurement.of_min_max]
        phrase = replace(phrase, shape="one", numbers=tuple(figures))
    read = [_value(measurement, n, facts) for n in figures]
    values = [v for v, _ in read]
    notes = [note for _, note in read if note]
    spread = None
    if phrase.shape == "range":
        spread = round(abs(values[1] - values[0]) / 2, 12)
        notes.append(f"the middle of {_listed(values, measurement)}")
    elif phrase.shape == "plus_minus":
        spread = abs(_converted(measurement, error[0].meanings[0], error[0].unit, text, scale_only=True))
    elif phrase.shape == "repeats":
        _must_agree(measurement, values)
        mean = sum(values) / len(values)
        scatter = math.sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))
        spread = scatter * math.sqrt(3 / len(values))
        notes.append(f"the mean of {_listed(values, measurement)}")
    elif phrase.numbers[0].mark:
        notes.append(f"the {phrase.numbers[0].mark}est seen, taken as the reading")
    if phrase.about:
        notes.append("given as about")
    repeats = len(values) if phrase.shape == "repeats" else 1
    note = "; ".join(dict.fromkeys(notes)) or None
    return Understood(math.fsum(values) / len(values), typed, note, spread, repeats)


def _value(measurement: Measurement, number: TypedNumber, facts: Facts) -> tuple[float, str | None]:
    """One number in the measurement's unit, its sign settled and found possible."""
    meant = _settle_thousands(measurement, number, facts)
    raw = _converted(measurement, meant, number.unit, number.token)
    _must_be_finite(measurement, raw)
    value, note = _sign(measurement, raw)
    _possible(measurement, value, TypedNumber((meant,), number.unit, number.token), facts)
    return value, note


def _converted(
    m: Measurement, number: float, unit: Unit | None, text: str, scale_only: bool = False
) -> float:
    if unit is None:
        return number
    _must_fit(m, unit, f"{text} {unit.name}")
    value = in_unit(number, unit, m.unit or "")
    scale_only = scale_only or m.least == 0  # what cannot be below nothing is a difference
    zero = in_unit(0.0, unit, m.unit or "") if scale_only else 0.0
    return (value or 0.0) - (zero or 0.0)


def _must_fit(m: Measurement, unit: Unit | None, text: str) -> None:
    if unit is not None and in_unit(0.0, unit, m.unit or "") is None:
        usual = UNITS.get(m.unit or "")
        raise ReadingError(
            f"'{text}' is in {unit.plain}, but {m.label} is read in {usual.plain if usual else m.unit}; "
            "check which reading this is."
        )


def _settle_thousands(m: Measurement, number: TypedNumber, facts: Facts) -> float:
    """Choose between 1,250 as 1.25 and as 1250, or ask."""
    if len(number.meanings) == 1:
        return number.meanings[0]
    unit = number.unit.name if number.unit else m.unit
    if "," not in number.token and unit != "rpm":
        return number.meanings[0]
    if "," in number.token and unit in ("rpm", "mA"):
        return number.meanings[1]
    values = [abs(_converted(m, n, number.unit, number.token)) for n in number.meanings]
    possible = [n for n, value in zip(number.meanings, values, strict=True) if _inside(m, value, facts)]
    if len(possible) == 1:
        return possible[0]
    small, large = (f"{abs(n):g} {unit}" for n in number.meanings)
    raise DoubtfulReading(
        f"'{number.token}' can mean {small} or {large}; write {m.label} again without the separator.",
        large if "," in number.token else None,
    )


def _sign(m: Measurement, value: float) -> tuple[float, str | None]:
    if m.signed or value >= 0:
        return value + 0.0, None
    return -value, "sign ignored: it only tells which lead is where"


def _must_be_finite(m: Measurement, value: float) -> None:
    if not math.isfinite(value):
        raise ReadingError(f"That is no figure a meter can show for {m.label}; read it again.")


def _must_agree(m: Measurement, values: list[float]) -> None:
    low, high = min(values), max(values)
    if not m.error.agree(low, high):
        raise DoubtfulReading(
            f"{_listed(values, m)} are too far apart for one {m.label}; record the one that counts, or "
            f"{low:g} to {high:g} if it swings between them."
        )


def _listed(values: list[float], m: Measurement) -> str:
    return " and ".join(f"{v:g}" for v in values) + f" {m.unit}"


def _overload(m: Measurement, phrase: Phrase, typed: str) -> Understood:
    _must_fit(m, phrase.unit, fold(typed))
    if m.unit == "ohm":
        return Understood(math.inf, typed, "open circuit")
    raise DoubtfulReading(
        f"'{fold(typed)}' says the meter is over its range, which is no {m.label}; "
        "choose a higher range and read again."
    )


def bound(quantity: Quantity | None, facts: Facts) -> float | None:
    """A number, or a formula's value with these facts; None if there is none or it is unknown."""
    return quantity.value(facts.values) if isinstance(quantity, Formula) else quantity


def asked_of(measurement: Measurement) -> frozenset[str]:
    """The facts that its bounds are formulas of; what else is known makes no difference to `understand`."""
    bounds = (measurement.least, measurement.most, measurement.doubtful_above)
    return frozenset(name for one in bounds if isinstance(one, Formula) for name in one.names())


def _inside(m: Measurement, value: float, facts: Facts) -> bool:
    least, most = bound(m.least, facts), bound(m.most, facts)
    return (least is None or value >= least) and (most is None or value <= most)


def _believable(m: Measurement, value: float, facts: Facts) -> bool:
    doubtful = bound(m.doubtful_above, facts)
    return _inside(m, value, facts) and (doubtful is None or value <= doubtful)


def _possible(m: Measurement, value: float, typed: TypedNumber, facts: Facts) -> None:
    """Raise `DoubtfulReading` if the value cannot be, or is not believable without its unit."""
    inside = _inside(m, value, facts)
    if inside and (typed.unit is not None or _believable(m, value, facts)):
        return
    suggestion = _meant(m, abs(typed.meanings[0]), typed, facts)
    shown = f"{value:.6g} {m.unit}"
    why = f"is not possible for {m.label}" if not inside else f"is hardly believable for {m.label}"
    if inside:
        ask = f"write '{suggestion or shown}' if that was meant, or '{shown}' if the meter did show it"
    elif suggestion:
        raise DoubtfulReading(f"{shown} {why}: was it {suggestion}?", suggestion)
    else:
        least, most = bound(m.least, facts), bound(m.most, facts)
        both = least is not None and most is not None
        ask = f"it lies between {least:g} and {most:g} {m.unit}; read again" if both else "read again"
    raise DoubtfulReading(f"{shown} {why}: {ask}.", suggestion)


def _meant(m: Measurement, number: float, typed: TypedNumber, facts: Facts) -> str | None:
    """The text that was probably meant by a number that cannot be: another unit, or a lost point."""
    wanted = 0.0 if m.worsens == "up" else _USABLE * (bound(m.most, facts) or 0.0)
    for unit in siblings(m.unit or ""):
        value = in_unit(number, unit, m.unit or "")
        if value is not None and unit is not typed.unit and wanted <= value and _believable(m, value, facts):
            return f"{number:g} {unit.name}"
    shifted = [number / 10**n for n in (1, 2, 3)] if number == int(number) and m.worsens != "up" else []
    usable = [v for v in shifted if v >= wanted and _believable(m, v, facts)]
    return f"{usable[0]:g} {m.unit}" if len(usable) == 1 else None


def _observed(m: Measurement, typed: str) -> Understood:
    text = fold(typed)
    if not text or len(text) > 120:
        raise ReadingError(f"{m.label}: say one of {', '.join(m.choices)}.")
    names = {band: (band, m.band_labels.get(band, "")) for band in m.choices}
    found = spelling.match_name(text, names)
    if found.sure is None:
        listed = ", ".join(found.near or m.choices)
        kind = "can be" if found.near else "is not one of"
        raise ReadingError(f"'{text[:40]}' {kind} {listed}; say which, for {m.label}.")
    note = None if found.exact else f"'{text}' taken as {found.sure}"
    return Understood(found.sure, typed, note)
