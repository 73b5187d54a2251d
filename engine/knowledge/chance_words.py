"""Chances as the knowledge base writes them: words of a scale or numbers, some bands unnamed.

One convention for everything that says what a measurement reads: the chances that are
named are meant literally, what is left of 1 is spread evenly over the bands not named,
and no band is ever impossible.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from crankpath.engine.knowledge.problems import near, quoted
from crankpath.engine.knowledge.slips.values import number_meant

FLOOR: Final = 0.0005
"""The least chance of any band before normalising: a person can always misread."""
SLACK: Final = 0.05
"""How far named chances may miss 1, because words are round numbers."""


class ChanceError(ValueError):
    """Chances that cannot be meant; the message is a sentence saying which and why."""


def chance(written: object, scale: Mapping[str, float]) -> float:
    """The number from 0 to 1 that a word of the scale, or a number, stands for.

    Raises:
        ChanceError: neither a word of the scale nor a number from 0 to 1.
    """
    if isinstance(written, str):
        if written not in scale:
            meant = number_meant(written)
            advice = f"Type {meant}" if meant else near(written, scale, 12)
            raise ChanceError(f"{quoted(written)} is no word of the scale. {advice}".rstrip())
        return scale[written]
    if isinstance(written, bool) or not isinstance(written, (int, float)):
        raise ChanceError(
            f"{quoted(written)} is no chance; write a word of the scale or a number from 0 to 1"
        )
    if not 0 <= written <= 1:
        per_cent = f"; for {written:g} % write {written / 100:g}" if 1 < written <= 100 else ""
        raise ChanceError(f"{written:g} is no chance; a chance lies from 0 to 1{per_cent}")
    return float(written)


def spread(
    reads: Mapping[str, float | str], bands: Sequence[str], scale: Mapping[str, float] | None = None
) -> tuple[float, ...]:
    """Chance of each band, in the order of `bands`; every one above 0, the sum 1.

    A measurement that has no band ``none`` reads ``low`` where a rule says ``none``:
    with no current both mean that nothing was lost there.

    Raises:
        ChanceError: an unknown band or word, or chances that do not add up.

    >>> spread({"high": 0.5}, ["low", "near", "high"])
    (0.25, 0.25, 0.5)
    """
    named: dict[str, float] = {}
    for written, value in reads.items():
        band = "low" if written == "none" and "none" not in bands and "low" in bands else written
        if band not in bands:
            raise ChanceError(f"{quoted(written)} is no band here. {near(written, bands, 12)}".rstrip())
        named[band] = named.get(band, 0.0) + chance(value, scale or {})
    left = _left(named, bands)
    unnamed = len(bands) - len(named)
    each = left / unnamed if unnamed else 0.0
    floored = [max(named.get(band, each), FLOOR) for band in bands]
    total = sum(floored)
    return tuple(value / total for value in floored)


def _left(named: Mapping[str, float], bands: Sequence[str]) -> float:
    total = sum(named.values())
    if not named:
        raise ChanceError("no band has a chance; name at least one")
    if total > 1 + SLACK:
        raise ChanceError(f"the chances add up to {total:.3g}, more than 1; lower some of them")
    if len(named) == len(bands) and total < 1 - SLACK:
        raise ChanceError(f"the chances of all bands add up to {total:.3g}; they must add up to 1")
    return max(0.0, 1.0 - total)
