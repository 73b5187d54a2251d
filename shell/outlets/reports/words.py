"""Small pieces of wording that every report shares."""

from __future__ import annotations

from typing import Final

from crankpath.engine.advice.ahead.progress import Progress
from crankpath.engine.inference.failure_rate import CrankProof
from crankpath.engine.knowledge.records import Knowledge

NOT_LISTED = "something this knowledge base does not list"
_COARSE: Final = 20  # minutes from which on they are told to the nearest five


def holds_for(proof: CrankProof) -> str:
    """The failure rate for which the number of good cranks is a proof.

    >>> holds_for(CrankProof(10, 0.26, 3, 10))
    'enough if it used to fail at 26 % of tries or more'
    """
    return f"enough if it used to fail at {percent(proof.rate)} of tries or more"


def percent(chance: float) -> str:
    """A chance as a person says it; never 0 % or 100 %, because neither is ever known.

    >>> percent(0.874), percent(0.9995), percent(0.0004)
    ('87 %', '> 99 %', '< 1 %')
    """
    if chance > 0.995:
        return "> 99 %"
    if chance < 0.005:
        return "< 1 %"
    return f"{100 * chance:.0f} %"


def capital(text: str) -> str:
    """The text with a capital first letter, the rest as it is.

    >>> capital("load test by SAE")
    'Load test by SAE'
    """
    return f"{text[:1].upper()}{text[1:]}"


def bar(chance: float, width: int = 20) -> str:
    """A chance as a bar that needs no colour.

    >>> bar(0.5, 10)
    '=====.....'
    """
    filled = max(0, min(width, round(chance * width)))
    return "=" * filled + "." * (width - filled)


def factor(value: float) -> str:
    """How much a reading changed the odds, in words.

    >>> factor(8.2), factor(0.25), factor(1.05)
    ('8.2 times likelier', '4 times less likely', 'no real change')
    """
    if value >= 1.15:
        return f"{_times(value)} times likelier"
    if value <= 1 / 1.15:
        return f"{_times(1 / value)} times less likely"
    return "no real change"


def _times(value: float) -> str:
    if value >= 1000:
        return "over 1000"
    return f"{value:.0f}" if value >= 10 else f"{value:.2g}"


def fault_label(kb: Knowledge, fault: str | None) -> str:
    """A fault in the trade's words."""
    return NOT_LISTED if fault is None else kb.faults[fault].label


def left_words(left: Progress) -> str:
    """About how many readings and minutes are left; "" where none is.

    >>> left_words(Progress(2.8, 14.6)), left_words(Progress(1.1, 3.2)), left_words(Progress(0.0, 0.0))
    ('about 3 more readings, 15 minutes', 'about 1 more reading, 3 minutes', '')
    >>> left_words(Progress(5.6, 33.0))
    'about 6 more readings, 35 minutes'
    """
    if left.readings <= 0.0:
        return ""
    readings = max(1, round(left.readings))
    minutes = 5 * round(left.minutes / 5) if left.minutes >= _COARSE else max(1, round(left.minutes))
    return f"about {readings} more reading{'s' * (readings > 1)}, {minutes} minute{'s' * (minutes > 1)}"
