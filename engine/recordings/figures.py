"""The figures of the trade that tell a crank in a recording; they stand in the knowledge base."""

from __future__ import annotations

from dataclasses import dataclass

from crankpath.engine.knowledge.records import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class CrankFigures:
    """What a crank looks like; each is a setting of the same name with ``crank_`` before it.

    dip: share of the battery's voltage at rest by which it falls at least. full_volts: V of a 12 V
    battery that is full and at rest. least_amperes: A. shortest, longest: s. parting: s between two
    cranks at least. settles_after: s until the first dip is over. ends_before: s left out at the end.
    first_peak_within: s in which the first peak comes. first_peak_sampling: s between two samples at
    most for it to be seen. ripple_least, ripple_most: of the dip, peak to peak, while compressions
    go by. slowest, fastest: rpm. lead_off: share of the voltage at rest below which no battery is read.
    """

    dip: float
    full_volts: float
    least_amperes: float
    shortest: float
    longest: float
    parting: float
    settles_after: float
    ends_before: float
    first_peak_within: float
    first_peak_sampling: float
    ripple_least: float
    ripple_most: float
    slowest: float
    fastest: float
    lead_off: float


def figures_from(settings: Settings) -> CrankFigures:
    """The figures as a knowledge base states them. Raises KnowledgeError where one is missing."""
    return CrankFigures(**{name: settings[f"crank_{name}"] for name in CrankFigures.__slots__})
