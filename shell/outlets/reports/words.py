"""Small pieces of wording that every report shares."""

from __future__ import annotations

from crankpath.engine.inference.failure_rate import CrankProof
from crankpath.engine.knowledge.records import Knowledge

NOT_LISTED = "something this knowledge base does not list"


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
