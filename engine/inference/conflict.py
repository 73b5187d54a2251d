"""Readings that do not fit: sums that do not add up, and evidence in conflict.

Conflict is Jensen, Chamberlain, Nordahl & Jensen's (1990) measure in bits,
``log2(prod P(e_i) / P(e))``: positive when the readings disagree under the model, or when
a rare combination of faults is at work.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, log2

from crankpath.engine.bayes.posterior import Posterior
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.evidence_item import EvidenceItem
from crankpath.engine.inference.pooled_readings import PooledReading
from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Balance
from crankpath.engine.typed.reading import bound

_CLEAR = 2.0  # standard deviations of a residual that are said aloud


@dataclass(frozen=True, slots=True)
class Residual:
    """A sum or order of readings that does not hold.

    readings: the whole and its parts; of parts that exceed it by themselves only those that were read,
    and the whole if it was. residual: what is missing (positive) or too much, in the readings' unit.
    most: what the whole can be at most, where it was not read and its parts exceed that.
    sigma: its standard deviation by meter and crank-to-crank ripple, in the same unit.
    suspect: the reading most likely wrong.
    """

    balance: Balance
    readings: tuple[PooledReading, ...]
    residual: float
    sigma: float
    suspect: str
    most: float | None = None


def residuals(assessment: Assessment) -> tuple[Residual, ...]:
    """All sums and orders that fail beyond meter tolerance and ripple, worst first."""
    groups: dict[tuple[int, bool], dict[str, PooledReading]] = {}
    for taken in assessment.taken:
        groups.setdefault((taken.repair_epoch, taken.symptom), {})[taken.measurement.id] = taken
    found = []
    for (repair_epoch, symptom), read in groups.items():
        facts = assessment.context(repair_epoch, symptom).facts
        for balance in assessment.model.balances:
            residual = _residual(assessment, balance, read) or _exceeding(assessment, balance, read, facts)
            if residual is not None:
                found.append(residual)
    return tuple(sorted(found, key=lambda r: -abs(r.residual) / r.sigma))


def _residual(assessment: Assessment, balance: Balance, read: dict[str, PooledReading]) -> Residual | None:
    names = (balance.whole, *balance.parts)
    if any(name not in read or isinstance(read[name].value, str) for name in names):
        return None
    whole, parts = read[balance.whole], [read[name] for name in balance.parts]
    difference = _number(whole) - sum(_number(part) for part in parts)
    sigma = hypot(balance.relative * _number(whole), *(taken.sd for taken in (whole, *parts)))
    if balance.sort == "not_above" and difference < 0.0:
        return None
    if abs(difference) <= _CLEAR * sigma:
        return None
    taken = (whole, *parts)
    suspect = _miswritten(taken, difference, sigma) or _suspect(assessment, taken)
    return Residual(balance, taken, difference, sigma, suspect)


def _exceeding(
    assessment: Assessment, balance: Balance, read: dict[str, PooledReading], facts: Facts
) -> Residual | None:
    """Parts of a sum that together exceed the whole, even where it was not read, or not all of them."""
    parts = [taken for part in balance.parts for taken in _read_of(assessment, part, read)]
    whole, most = read.get(balance.whole), None
    if balance.sort != "sum" or len(parts) + (whole is not None) < 2:
        return None
    if whole is None:
        if any(balance.whole in other.parts for other in assessment.model.balances):
            return None  # it is told of the larger sum
        m = assessment.model.measurements[balance.whole]
        most = bound(m.doubtful_above or m.most, facts)
    limit = most if whole is None else _number(whole)
    if limit is None:
        return None
    taken = (*([whole] if whole else []), *parts)
    sigma = hypot(balance.relative * limit, *(one.sd for one in taken))
    excess = sum(map(_number, parts)) - limit
    if excess <= _CLEAR * sigma:
        return None
    return Residual(balance, taken, -excess, sigma, _suspect(assessment, taken), most)


def _read_of(assessment: Assessment, name: str, read: dict[str, PooledReading]) -> list[PooledReading]:
    """The reading of a part, or those of its own parts that were read."""
    if name in read:
        return [] if isinstance(read[name].value, str) else [read[name]]
    sums = [
        balance for balance in assessment.model.balances if balance.sort == "sum" and balance.whole == name
    ]
    found = [[taken for part in one.parts for taken in _read_of(assessment, part, read)] for one in sums]
    return max(found, key=lambda parts: sum(map(_number, parts)), default=[])


def _number(taken: PooledReading) -> float:
    return 0.0 if isinstance(taken.value, str) else float(taken.value)


def _miswritten(taken: Sequence[PooledReading], difference: float, sigma: float) -> str | None:
    """The smallest reading of a sum that fits if it was written down wrongly; none if there is no such one.

    The point one place off, or two neighbouring digits exchanged: common practice, no source.
    """
    found = []
    for place, one in enumerate(taken):
        sign, number = (1.0 if place == 0 else -1.0), _number(one)
        meant = [] if _confirmed(one) else [number * 10.0, number / 10.0, *_exchanged(number)]
        if any(abs(difference + sign * (other - number)) <= _CLEAR * sigma for other in meant):
            found.append((abs(number), one.measurement.id))
    return min(found)[1] if found else None


def _exchanged(number: float) -> list[float]:
    """The number with two neighbouring digits exchanged, each pair in turn; a point between stays."""
    digits = list(f"{number:g}")
    at = [place for place, sign in enumerate(digits) if sign.isdecimal()]
    found = []
    for one, other in pairwise(at if "e" not in digits else ()):
        swapped = digits.copy()
        swapped[one], swapped[other] = swapped[other], swapped[one]
        found.append(float("".join(swapped)))
    return found


def _suspect(assessment: Assessment, taken: Sequence[PooledReading]) -> str:
    """The reading of the sum, of those taken once, that the rest of the case expects least.

    All of the sum count: without the one that is tried, no other follows from the rest.
    """
    of_sum = [piece for piece in assessment.weighed if piece.taken is not None and piece.taken in taken]
    weighed = [piece for piece in assessment.used if piece not in of_sum] + of_sum
    cranks, together = assessment.cranks, assessment.posterior_of(weighed)
    surprises = {
        piece.taken.measurement.id: (
            not _confirmed(piece.taken),
            _surprise(assessment, piece, together, cranks.left_out(piece, weighed, together)),
        )
        for piece in of_sum
        if piece.taken is not None
    }
    return max(surprises, key=lambda name: (surprises[name], name))


def _confirmed(taken: PooledReading) -> bool:
    """True where a second take is there: it agreed, or stands instead of the first."""
    return taken.repeats > 1 or bool(taken.set_aside)


def surprise(assessment: Assessment, piece: EvidenceItem) -> float:
    """By how many bits all other evidence makes a reading less expected: log2 P(e_i) / P(e_i | others).

    Against the reading by itself, so that meters of any fineness and observations compare.
    """
    place = next(n for n, other in enumerate(assessment.used) if other is piece)
    return _surprise(assessment, piece, assessment.posterior, assessment.without[place])


def _surprise(assessment: Assessment, piece: EvidenceItem, together: Posterior, others: Posterior) -> float:
    chances = (assessment.cranks.chance_of(piece), others.evidence_chance)
    return sum(map(_log2, chances)) - _log2(together.evidence_chance)


def _log2(chance: float) -> float:
    return log2(max(chance, 1e-300))


@dataclass(frozen=True, slots=True)
class Conflict:
    """Readings that speak against each other; ``clears`` is the one whose removal ends it."""

    bits: float
    clears: str | None


def conflict(assessment: Assessment) -> Conflict | None:
    """The conflict among the readings of a case, if it is beyond the settings' level."""
    read = tuple(piece for piece in assessment.used if piece.taken is not None)
    pieces = assessment.used if len(read) == len(assessment.used) else read
    level = assessment.model.kb.settings["conflict_bits"]
    alone = [assessment.cranks.chance_of(piece) for piece in pieces]
    together = assessment.posterior_of(pieces)
    bits = conflict_bits(alone, together.evidence_chance)
    if bits <= level:
        return None
    best: tuple[float, str] | None = None
    left_out = assessment.cranks.each_left_out(pieces, together)
    for place, (piece, others) in enumerate(zip(pieces, left_out, strict=True)):
        left = conflict_bits([*alone[:place], *alone[place + 1 :]], others.evidence_chance)
        if left <= level and piece.taken is not None and (best is None or left < best[0]):
            best = (left, piece.taken.measurement.id)
    return Conflict(bits, None if best is None else best[1])


def conflict_bits(alone: Sequence[float], together: float) -> float:
    """``log2(prod P(e_i) / P(e))`` in bits; 0 for fewer than two pieces.

    Args:
        alone: P(e_i) of each piece of evidence by itself.
        together: P(e) of all of them.
    """
    if len(alone) < 2:
        return 0.0
    return sum(map(_log2, alone)) - _log2(together)


def most_surprising(assessment: Assessment) -> str | None:
    """The meter reading (or else the observation) that the others expect least."""
    pieces = [piece for piece in assessment.used if piece.taken is not None]
    scored = [
        (piece.taken.measurement.numeric, surprise(assessment, piece), piece.taken.measurement.id)
        for piece in pieces
        if piece.taken is not None
    ]
    return max(scored)[2] if scored else None
