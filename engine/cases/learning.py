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
from dataclasses import dataclass
from functools import cached_property
from math import log2
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.assessment import Assessment, EvidenceItem
from crankpath.engine.inference.entries import Repaired
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.records import Fault, Knowledge, Origin
from crankpath.engine.machine.equipment import complete

WORTH: Final = "shares_worth"
"""The setting: as many cases as the stated shares are worth."""


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

    rule: None where no rule speaks and the healthy chances hold. predicted: mean chance of each
    band; read: mean share of each band in what was read. cases: names of the cases in which
    something else was read than the band the rule holds likeliest. bits: surprise beyond what the
    rule itself expects, ``sum(-log2 P(read)) - H``, over all its cases; above 0 it was too sure.
    """

    rule: str | None
    fault: str
    measurement: str
    origin: Origin
    bands: tuple[str, ...]
    predicted: tuple[float, ...]
    read: tuple[float, ...]
    readings: int
    cases: tuple[str, ...]
    bits: float


def misleading(closed: Iterable[Closed]) -> tuple[Spoken, ...]:
    """Rules that something else was read against than they hold likeliest, the worst first.

    Only cases with one confirmed cause count, and readings taken before the first repair with
    the symptom there.
    """
    heard: dict[tuple[str | None, str, str], list[tuple[str, EvidenceItem, tuple[float, ...]]]] = {}
    kb: Knowledge | None = None
    for one in closed:
        kb = one.case.kb
        fault = one.causes[0] if len(one.causes) == 1 else ""
        own = one.before.model.elements_of.get(fault, ())
        for piece in one.before.used if own else ():
            if piece.taken is not None and piece.evidence.symptom_probability == 1.0:
                element = _likeliest(one.before, own)
                rule = one.before.model.rule_for(piece.evidence.name, element, piece.facts)
                table = piece.evidence.table
                chances = table.chances(table.row_of((element,)))
                key = (None if rule is None else rule.id, fault, piece.evidence.name)
                heard.setdefault(key, []).append((one.name, piece, chances))
    spoken = [_spoken(kb, key, items) for key, items in heard.items()] if kb is not None else []
    return tuple(sorted((s for s in spoken if s.cases and s.bits > 0.0), key=lambda s: -s.bits))


def _likeliest(assessment: Assessment, own: Sequence[int]) -> int:
    """The degree that the readings speak for."""
    marginals = assessment.posterior.marginals()
    return max(own, key=lambda index: marginals[index])


def _spoken(
    kb: Knowledge,
    key: tuple[str | None, str, str],
    items: Sequence[tuple[str, EvidenceItem, tuple[float, ...]]],
) -> Spoken:
    rule, fault, name = key
    measurement = kb.measurements[name]
    count, bits, missed = len(items), 0.0, []
    for case, piece, chances in items:
        value = sum(s * c for s, c in zip(piece.evidence.shares, chances, strict=True))
        bits += -log2(value) + sum(c * log2(c) for c in chances if c > 0.0)
        if piece.band != measurement.bands[max(range(len(chances)), key=chances.__getitem__)]:
            missed.append(case)
    predicted = tuple(sum(column) / count for column in zip(*(c for _, _, c in items), strict=True))
    read = tuple(
        sum(column) / count for column in zip(*(p.evidence.shares for _, p, _ in items), strict=True)
    )
    origin = measurement.origin if rule is None else kb.rules[rule].origin
    return Spoken(rule, fault, name, origin, measurement.bands, predicted, read, count, tuple(missed), bits)


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
