"""What a reading is expected to be, in words: ranges in the unit, and what else happens."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from crankpath.engine.advice.explain import Prediction
from crankpath.engine.advice.legs_report import LegReport
from crankpath.engine.cases.case import Case
from crankpath.engine.inference.expected import Expected
from crankpath.engine.knowledge.entry_data import yaml_words
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.records import Measurement, Range
from crankpath.shell.outlets.reports.words import capital, percent

_FROM_NOTHING: Final = 0.03  # part of its high end below which a low end is none
_ENDLESS: Final = 1e5  # a high end that no meter shows
_WORTH_WORDS: Final = 0.01  # share


def amount(value: float, unit: str) -> str:
    """A number with its unit, in the unit a meter would show.

    >>> amount(0.05, "V"), amount(0.4, "V"), amount(1400, "A")
    ('50 mV', '0.4 V', '1400 A')
    """
    if unit == "V" and 0 < abs(value) < 0.0995:
        return f"{value * 1000:.0f} mV"
    number = f"{value:.0f}" if abs(value) >= 1000 else f"{value:.3g}"
    return f"{number} {unit}"


def span_words(low: float, high: float, unit: str) -> str:
    """A range as a person says it.

    >>> span_words(0.4013, 2.98, "V"), span_words(0.001, 0.151, "V"), span_words(100.0, 1e9, "ohm")
    ('0.4 to 3 V', 'up to 0.15 V', 'above 100 ohm')
    """
    low, high = (float(f"{end:.2g}" if end < 10.0 else f"{end:.3g}") for end in (low, high))
    if high > _ENDLESS:
        return f"above {amount(low, unit)}"
    if low <= _FROM_NOTHING * high:
        return f"up to {amount(high, unit)}"
    first, last = amount(low, unit), amount(high, unit)
    if first == last:
        return f"about {first}"
    number, shown = first.split(" ", 1)
    return f"{number if last.endswith(f' {shown}') else first} to {last}"


def range_parts(said: Expected, unit: str) -> list[tuple[str, float]]:
    """What is read and how often, the commonest first.

    The range itself, nothing, the whole supply, and what a sound circuit reads.
    """
    rest = 1.0 - said.nothing - said.whole - said.sound
    parts = [("nothing", said.nothing), (whole_words(unit), said.whole)]
    if said.low is not None and said.high is not None:
        span = span_words(said.low, said.high, unit)
        alone = rest < _WORTH_WORDS <= said.sound
        parts.append((f"{span}, as a sound circuit", said.sound) if alone else (span, rest))
        if not alone:
            parts.append(("as a sound circuit", said.sound))
    shown = [part for part in parts if part[1] >= _WORTH_WORDS]
    return sorted(shown, key=lambda part: -part[1])


def whole_words(unit: str) -> str:
    """What a meter on the whole supply, or an open winding, is said to read."""
    return "an open circuit" if unit == "ohm" else "the whole supply"


def range_words(said: Expected, unit: str) -> str:
    """What a meter reads, in one phrase.

    >>> range_words(Expected(0.4, 1.4, 3.0), "V")
    '0.4 to 3 V'
    >>> range_words(Expected(0.4, 1.4, 3.0, nothing=0.1, whole=0.2), "V")
    '0.4 to 3 V (70 %), the whole supply (20 %), nothing (10 %)'
    """
    parts = range_parts(said, unit)
    if len(parts) == 1:
        return parts[0][0]
    return ", ".join(f"{text} ({percent(share)})" for text, share in parts)


def written_words(reads: Range, unit: str = "") -> str:
    """A range as the knowledge base writes it, formulas as they stand.

    >>> written_words(Range((0.4, 3.0), whole=0.2), "V")
    '0.4 to 3 V, nine in ten; the whole supply 20 %'
    """
    parts = []
    if reads.low is not None and reads.high is not None:
        low, high = (yaml_words(q.text if isinstance(q, Formula) else q) for q in (reads.low, reads.high))
        parts.append(f"{low} to {high}{f' {unit}' if unit else ''}, nine in ten")
    shares = {"nothing": reads.nothing, whole_words(unit): reads.whole, "as a sound circuit": reads.sound}
    return "; ".join([*parts, *(f"{name} {percent(share)}" for name, share in shares.items() if share)])


def value_words(m: Measurement, value: float | str) -> str:
    """A value with its unit; a value of an observation in words, a figure as typed as it stands."""
    if isinstance(value, str):
        return value if m.numeric else m.band_labels.get(value, value.replace("_", " "))
    return "overload (open)" if math.isinf(value) else amount(value, m.unit or "")


def prediction_words(m: Measurement, prediction: Prediction) -> str:
    """What a cause would make a reading show: a range in the unit, or the likeliest value."""
    if prediction.expected is not None:
        return range_words(prediction.expected, m.unit or "")
    value = prediction.likeliest
    return f"{value_words(m, value)} ({percent(prediction.chances[value])})"


def circuit_sentences(case: Case) -> Iterator[str]:
    """What the readings say of legs and source by arithmetic, and what the repair that is due gives back."""
    yield from voltage_sentences(case)
    verdict = case.verdict()
    if verdict.action == "repair" and verdict.prepares is None and verdict.repair is not None:
        yield from gain_sentence(case, verdict.repair)


def voltage_sentences(case: Case) -> Iterator[str]:
    """Each leg's drop as built and in excess, with its heat, and what is lost inside the source."""
    for leg in case.leg_splits():
        yield from _leg_sentence(case, leg)
    battery, budget = case.battery_report(), case.kb.about.budget
    if battery is not None and budget is not None:
        ohms = f"{1000 * battery.ohms:.2g} mohm"
        rated = "" if battery.rated is None else f"; its rating allows {1000 * battery.rated:.2g} mohm"
        yield f"{capital(budget.inside)}: {ohms}{rated}."


def gain_sentence(case: Case, repair: str) -> Iterator[str]:
    """What a repair gives back at least, where it can be told."""
    gain = case.repair_gain(repair)
    if gain is not None and gain.volts:
        speed = f" and {gain.speed:.0f} rpm" if gain.speed else ""
        yield f"The repair gives back at least {amount(gain.volts, 'V')}{speed} at this current."


def _leg_sentence(case: Case, leg: LegReport) -> Iterator[str]:
    """The drop split into cable and joints as far as it can be; nothing without a current."""
    if leg.amperes is None or leg.ohms is None:
        return
    label = case.kb.measurements[leg.measurement].label
    said = f"{label[:1].upper()}{label[1:]} {amount(leg.drop, 'V')} at {leg.amperes:.0f} A"
    if leg.split is None:
        heat = f"{1000 * leg.ohms:.2g} mohm, {leg.watts or 0.0:.0f} W of heat"
        yield f"{said}: {heat}. {leg.remark or ''}".rstrip()
    elif leg.remark is not None:
        yield leg.remark
    else:
        built, more = amount(leg.split.as_built, "V"), amount(max(leg.split.excess, 0.0), "V")
        heat = f"{leg.watts or 0.0:.0f} W of heat"
        yield f"{said}: {built} as built, {more} more at joints or in damage ({heat})."
