"""What closed cases teach: how often each fault is found, which rules misled, whether chances held.

Shares are Dirichlet: what the knowledge base states counts as much as a stated number of
cases (setting ``shares_worth``), and every confirmed cause counts one. With all machines
alike the result is the posterior mean (worth * m_f + n_f) / (worth + n), m_f being the
fault's part of all shares (for instance Bernardo & Smith 1994, section 3.2; from memory).
Where a fault's share depends on the machine, every share of it is scaled by the same
ratio, found against what the shares lead to expect on the machines that were seen.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import log2
from typing import Any, Final

from crankpath.engine.bayes.evidence import Metered, Observed
from crankpath.engine.bayes.tables import MeterTable
from crankpath.engine.cases.case import Case
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.entries import Repaired
from crankpath.engine.inference.evidence_item import EvidenceItem
from crankpath.engine.inference.expected import Expected, expected, fits, mean_surprise
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.records import Fault, Knowledge, Origin
from crankpath.engine.machine.equipment import complete

WORTH: Final = "shares_worth"
"""The setting: as many cases as the stated shares are worth."""
_LEAST: Final = 1e-30  # density of what no rule allows


@dataclass(frozen=True)
class Closed:
    """A closed case with what was found. causes: the confirmed fault ids."""

    name: str
    case: Case
    causes: tuple[str, ...]

    @cached_property
    def before(self) -> Assessment:
        """The case as it stood before the first repair."""
        entries = self.case.entries
        first = next((i for i, entry in enumerate(entries) if isinstance(entry, Repaired)), len(entries))
        return Assessment(self.case.assessment.model, entries[:first])


@dataclass(frozen=True, slots=True)
class ShareChange:
    """One fault's shares. found: cases that confirmed it; expected: what the shares led to expect.

    ratio: by which every share of the fault is to be multiplied. shares: (before, after) of each
    share, as written.
    """

    fault: Fault
    found: int
    expected: float
    ratio: float
    shares: tuple[tuple[float, float], ...]


def share_changes(
    kb: Knowledge, confirmed: Mapping[str, int], worth: float, machines: Sequence[Model] = ()
) -> tuple[ShareChange, ...]:
    """What the confirmed causes make of every fault's share, in the order of faults.

    Args:
        kb: states the shares.
        confirmed: fault -> number of cases that confirmed it; unknown ids are passed over.
        worth: as many cases as the stated shares are worth, above 0.
        machines: of the cases; without any, all are taken for the default machine.
    """
    seen = machines or [Model(kb, complete(kb, {}))]
    counts = {fault: confirmed.get(fault, 0) for fault in kb.faults}
    weight = sum(counts.values()) / len(seen)
    parts = [_parts(model) for model in seen]
    found = []
    for fault in kb.faults.values():
        mean = sum(part.get(fault.id, 0.0) for part in parts) / len(parts)
        expected = weight * sum(part.get(fault.id, 0.0) for part in parts)
        whole = worth * mean + expected
        ratio = (worth * mean + counts[fault.id]) / whole if whole > 0.0 else 1.0
        shares = tuple((share.chance, _chance(share.chance * ratio)) for share in fault.shares)
        found.append(ShareChange(fault, counts[fault.id], expected, ratio, shares))
    return tuple(found)


def _parts(model: Model) -> dict[str, float]:
    """Every fault's part of all shares on one machine."""
    shares = {name: sum(model.elements[i].chance for i in own) for name, own in model.elements_of.items()}
    whole = sum(shares.values())
    return {name: share / whole for name, share in shares.items()}


def _chance(value: float) -> float:
    return min(float(f"{value:.3g}"), 0.9)


@dataclass(frozen=True, slots=True)
class Spoken:
    """What one rule said of one measurement over the cases in which its fault was the cause.

    rule: None where no rule speaks and the healthy reading holds. Of an observation, predicted: mean
    chance of each of its values (bands); read: mean share of each in what was seen. Of a meter
    reading, expected: what it expects, in the unit; values: what was read. cases: names of the cases in
    which something else was read than it holds likeliest (an observation), or outside nine in ten of
    what it expects (a meter). bits: surprise beyond what the rule itself expects,
    ``sum(-log2 P(read)) - H``, over all its cases; above 0 it was too sure.
    """

    rule: str | None
    fault: str
    measurement: str
    origin: Origin
    readings: int
    cases: tuple[str, ...]
    bits: float
    bands: tuple[str, ...] = ()
    predicted: tuple[float, ...] = ()
    read: tuple[float, ...] = ()
    expected: Expected | None = None
    values: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class _Heard:
    """One reading of a closed case, with what its cause makes of it."""

    case: str
    piece: EvidenceItem
    row: Any

    @property
    def bits(self) -> float:
        """Surprise beyond what is expected."""
        read = self.piece.evidence.read
        surprise: float = -log2(max(read.weigh(self.row), _LEAST))
        if isinstance(read, Metered):
            return surprise - mean_surprise(self.row, read.slip, read.slipped)
        expected_bits: float = sum(-c * log2(c) for c in self.row if c > 0.0)
        return surprise - expected_bits

    @property
    def missed(self) -> bool:
        """Was something else read than is expected?"""
        read = self.piece.evidence.read
        if isinstance(read, Metered):
            return not fits(self.row, read.position)
        assert self.piece.taken is not None
        bands = self.piece.taken.measurement.bands
        return self.piece.band != bands[max(range(len(self.row)), key=self.row.__getitem__)]


def misleading(closed: Iterable[Closed]) -> tuple[Spoken, ...]:
    """Rules that something else was read against than they expect, the worst first.

    Only cases with one confirmed cause count, and readings taken before the first repair with
    the symptom there.
    """
    heard: dict[tuple[str | None, str, str], list[_Heard]] = {}
    kb: Knowledge | None = None
    for one in closed:
        kb = one.case.kb
        fault = one.causes[0] if len(one.causes) == 1 else ""
        own = one.before.model.elements_of.get(fault, ())
        for piece in one.before.used if own else ():
            if piece.taken is not None and piece.evidence.symptom_probability == 1.0:
                element = _likeliest(one.before, own)
                rule = one.before.model.rule_for(piece.evidence.name, element, piece.facts)
                key = (None if rule is None else rule.id, fault, piece.evidence.name)
                row = piece.evidence.table.row_of((element,))
                heard.setdefault(key, []).append(_Heard(one.name, piece, row))
    spoken = [_spoken(kb, key, items) for key, items in heard.items()] if kb is not None else []
    return tuple(sorted((s for s in spoken if s.cases and s.bits > 0.0), key=lambda s: -s.bits))


def _likeliest(assessment: Assessment, own: Sequence[int]) -> int:
    """The degree that the readings speak for."""
    marginals = assessment.posterior.marginals()
    return max(own, key=lambda index: marginals[index])


def _spoken(kb: Knowledge, key: tuple[str | None, str, str], items: Sequence[_Heard]) -> Spoken:
    rule, fault, name = key
    measurement = kb.measurements[name]
    said = Spoken(
        rule,
        fault,
        name,
        measurement.origin if rule is None else kb.rules[rule].origin,
        len(items),
        tuple(item.case for item in items if item.missed),
        sum(item.bits for item in items),
    )
    table = items[0].piece.evidence.table
    if isinstance(table, MeterTable):
        values = tuple(_figure(item.piece) for item in items)
        return replace(said, expected=expected(items[0].row, table.scale), values=values)
    predicted = _means([item.row for item in items])
    observed = [item.piece.evidence.read for item in items]
    read = _means([one.shares for one in observed if isinstance(one, Observed)])
    return replace(said, bands=measurement.bands, predicted=predicted, read=read)


def _figure(piece: EvidenceItem) -> float:
    assert piece.taken is not None
    assert not isinstance(piece.taken.value, str)
    return piece.taken.value


def _means(rows: Sequence[Sequence[float]]) -> tuple[float, ...]:
    return tuple(sum(column) / len(rows) for column in zip(*rows, strict=True))


@dataclass(frozen=True, slots=True)
class Stated:
    """The repair named before the first repair of a closed case: its chance, and was it needed."""

    case: str
    repair: str
    chance: float
    right: bool
    needed: tuple[str, ...]


def stated_chances(closed: Iterable[Closed]) -> tuple[Stated, ...]:
    """The likeliest repair of each case with a confirmed cause, before the first repair."""
    found = []
    for one in closed:
        faults = one.case.kb.faults
        needed = tuple(dict.fromkeys(faults[cause].repair for cause in one.causes if cause in faults))
        sums: dict[str, float] = {}
        for fault, chance in one.before.posterior.fault_marginals().items():
            sums[faults[fault].repair] = sums.get(faults[fault].repair, 0.0) + chance
        if needed and sums:
            repair, chance = max(sums.items(), key=lambda pair: pair[1])
            found.append(Stated(one.name, repair, min(chance, 1.0), repair in needed, needed))
    return tuple(found)
