"""Rules: what a fault makes a measurement read, what follows from facts, what must agree."""

from __future__ import annotations

from collections.abc import Mapping

from crankpath.engine.knowledge.building.fields import record, says
from crankpath.engine.knowledge.building.lists import ASelector, ListOf, MapOf, refs
from crankpath.engine.knowledge.building.shapes import (
    CONDITION,
    DERIVED,
    ID,
    NOT_NEGATIVE,
    RANK,
    TEXT,
    Ref,
    Word,
)
from crankpath.engine.knowledge.condition import Condition
from crankpath.engine.knowledge.entries.measurements import READS, Range
from crankpath.engine.knowledge.entries.values import Origin, Selector
from crankpath.engine.knowledge.formula import Formula


@record
class EvidenceRule:
    """What measurements read while a fault is there.

    masks: 0, or a rank; the highest rank present takes the reading over whatever the other
    faults do. reads: as written; the rest is spread.
    """

    id: str
    faults: Selector = says(
        "the faults, by id or `{kinds: [...]}` for every one of a kind", ASelector("faults")
    )
    degrees: tuple[str, ...] = says("only at these degrees", ListOf(ID), absent=())
    measurements: Selector = says("the measurements, by id or `{kinds: [...]}`", ASelector("measurements"))
    where: str = says(
        "where the reading's span covers the fault's place, where it does not, or anywhere",
        Word(("across", "clear_of", "any")), absent="any",
    )  # fmt: skip
    given: Condition | None = says("when it holds", CONDITION, absent=None)
    unless: Condition | None = says("when it does not hold", CONDITION, absent=None)
    reads: Mapping[str, float] | Range = says(
        "a range, `between: [low, high]`; of an observation value to chance, the rest spread evenly", READS
    )
    masks: int = says(
        "above 0, it takes the reading over from every fault of lower rank: no current, no drop",
        RANK,
        absent=0,
    )
    because: str = says("why", TEXT)
    misleads: str = says("what can mislead you", TEXT, absent="")
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin


@record
class FactRule:
    """Derives facts, cautions and verdicts on readings from facts."""

    id: str
    when: Condition = says("when it holds", CONDITION)
    unless: Condition | None = says("when it does not hold", CONDITION, absent=None)
    then: Mapping[str, str | bool | float | Formula] = says(
        "facts that follow: a word, true, false, a number or a formula", MapOf(DERIVED), absent={}
    )
    caution: tuple[str, ...] = says("cautions to show", refs("cautions"), absent=())
    warn: str = says("a sentence to show", TEXT, absent="")
    distrust: tuple[str, ...] = says("measurements not to be trusted now", refs("measurements"), absent=())
    pointless: Selector | None = says(
        "measurements that tell nothing now", ASelector("measurements"), absent=None
    )
    unsafe: Selector | None = says(
        "measurements that must not be taken now", ASelector("measurements"), absent=None
    )
    because: str = says("why", TEXT)
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin
    until: Condition | None = says(
        "it ends once a later reading makes this hold", CONDITION, default=None
    )
    until_repaired: tuple[str, ...] = says(
        "it ends once one of these repairs was made later", refs("repairs"), default=()
    )
    unit: str | None = says("the unit of the numbers in `then`", TEXT, default=None)


@record
class Balance:
    """A sum or an order that readings of one machine must keep."""

    id: str
    sort: str = says("`whole` is the sum of `parts`, or not above the first", Word(("sum", "not_above")))
    whole: str = says("the measurement of the whole", Ref("measurements"))
    parts: tuple[str, ...] = says("the measurements of the parts", refs("measurements", 1))
    implied: str | None = says(
        "the one that follows from the others: once they are read it only checks them",
        Ref("measurements"),
        absent=None,
    )
    only: Condition | None = says("the machines for which it holds", CONDITION, absent=None)
    relative: float = says(
        "variation between tries: one standard deviation, as a fraction", NOT_NEGATIVE, absent=0.0
    )
    because: str = says("why", TEXT)
    sources: tuple[str, ...] = says("where it comes from", refs("references"), absent=(), key="source")
    origin: Origin
