"""Readings put together by the crank they share and by the sums of drops they are part of, and weighed."""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import hypot
from operator import mul, truediv
from typing import Final

from crankpath.engine.bayes.evidence import Evidence, Factor, Metered, Sum
from crankpath.engine.bayes.hypotheses import Hypotheses
from crankpath.engine.bayes.posterior import (
    Crank,
    Posterior,
    Product,
    likelihood,
    posterior,
    posterior_from_weights,
)
from crankpath.engine.bayes.tables import MeterTable
from crankpath.engine.inference.evidence_item import EvidenceItem
from crankpath.engine.inference.model import Model
from crankpath.engine.knowledge.records import Balance

_REMEMBERED: Final = 2_000_000  # likelihoods kept per machine, some 16 megabytes
_SUREST: Final = 0.3  # least standard deviation of a reading, in those of an ordinary one


@dataclass(frozen=True, eq=False)
class CrankMaker:
    """Sorts the evidence of a case into draws of the faults, each with independent factors, and weighs it."""

    model: Model

    def of(self, pieces: Sequence[EvidenceItem]) -> list[Crank]:
        """Readings put together by the crank they share; each other reading is by itself."""
        return [self.crank(together) for together in self.sharing(pieces)]

    def sharing(self, pieces: Sequence[EvidenceItem]) -> list[list[EvidenceItem]]:
        """The pieces by the crank they share; where every fault shows, together only if they add up."""
        shared: dict[object, list[EvidenceItem]] = {}
        for number, piece in enumerate(pieces):
            shared.setdefault(self._draw(piece, number), []).append(piece)
        return [some for together in shared.values() for some in self._dependent(together)]

    def _dependent(self, together: list[EvidenceItem]) -> list[list[EvidenceItem]]:
        """The pieces of one draw that depend on each other, given the faults."""
        if together[0].evidence.symptom_probability == 1.0:
            return [[whole, *parts] for whole, parts, _ in self._added_up(together)]
        return [together]

    def crank(self, together: Sequence[EvidenceItem]) -> Crank:
        """The crank that these pieces share."""
        first = together[0].evidence
        shows = self.model.shows_when_symptom_absent
        return Crank(tuple(self._factors(together)), first.symptom_probability, shows, first.repaired)

    def posterior(self, cranks: Sequence[Crank], known: Product | None = None) -> Posterior:
        """The posterior on what some cranks gave; ``known`` as in `engine/bayes/posterior.py`."""
        return posterior(self.model.hypotheses, cranks, self._vector, known)

    def chance_of(self, piece: EvidenceItem) -> float:
        """P(a piece of evidence), by itself."""
        hypotheses, (crank,) = self.model.hypotheses, self.of([piece])
        chance: float = sum(map(mul, hypotheses.prior, self._vector(hypotheses, crank)))
        return chance

    def each_left_out(self, pieces: Sequence[EvidenceItem], whole: Posterior) -> tuple[Posterior, ...]:
        """For each of some pieces of evidence, the posterior on all the others of them.

        What its own crank gives is divided out of the posterior on all.
        """
        shared = {id(piece): together for together in self.sharing(pieces) for piece in together}
        return tuple(self._left_out(piece, shared[id(piece)], pieces, whole) for piece in pieces)

    def left_out(self, piece: EvidenceItem, pieces: Sequence[EvidenceItem], whole: Posterior) -> Posterior:
        """The same for one of them."""
        together = next(some for some in self.sharing(pieces) if any(one is piece for one in some))
        return self._left_out(piece, together, pieces, whole)

    def _left_out(
        self,
        piece: EvidenceItem,
        together: Sequence[EvidenceItem],
        pieces: Sequence[EvidenceItem],
        whole: Posterior,
    ) -> Posterior:
        left = [other for other in together if other is not piece]
        others = (other for other in pieces if other is not piece)
        return self._exchanged(whole, together, left) or self.posterior(self.of(list(others)))

    def _exchanged(
        self, whole: Posterior, together: Sequence[EvidenceItem], left: Sequence[EvidenceItem]
    ) -> Posterior | None:
        """The posterior with what one crank read taken for less; None where that cannot be divided out."""
        hypotheses, crank = self.model.hypotheses, self.crank(together)
        given = self._vector(hypotheses, crank)
        if 0.0 in given or whole.evidence_chance <= 0.0:
            return None
        others = [other for other in whole.cranks if other.identity != crank.identity]
        weights = list(map(truediv, whole.weights, given))
        if left:
            others.append(self.crank(left))
            weights = list(map(mul, weights, self._vector(hypotheses, others[-1])))
        return posterior_from_weights(hypotheses, weights, others, whole.evidence_chance)

    def _vector(self, hypotheses: Hypotheses, crank: Crank) -> Sequence[float]:
        cache = self.model.vectors
        known = cache.get(crank.identity)
        if known is None:
            if len(cache) >= max(8, _REMEMBERED // len(hypotheses.members)):
                cache.clear()
            known = cache[crank.identity] = array("d", likelihood(hypotheses, crank))
        return known

    def _draw(self, piece: EvidenceItem, number: int) -> object:
        """What readings of one draw of the faults have in common.

        With the fault there every fault shows, so there all readings that add up can stand together.
        """
        evidence, taken = piece.evidence, piece.taken
        if taken is None or evidence.outcome is not None or not taken.measurement.numeric:
            return number
        if evidence.symptom_probability == 1.0:
            return (taken.repair_epoch, "there") if taken.measurement.id in self._summed else number
        crank = taken.readings[0].crank
        return number if crank is None else (taken.repair_epoch, evidence.symptom_probability, crank)

    @cached_property
    def _summed(self) -> frozenset[str]:
        """Readings that are the whole or a part of a sum of drops."""
        return frozenset(name for balance in self.sums for name in (balance.whole, *balance.parts))

    @cached_property
    def sums(self) -> tuple[Balance, ...]:
        """The sums of drops that readings of one crank are weighed by: a leg and its parts."""
        measurements = self.model.kb.measurements
        return tuple(
            balance
            for balance in self.model.balances
            if balance.sort == "sum" and measurements[balance.whole].combination == "adds"
        )

    def _factors(self, together: Sequence[EvidenceItem]) -> list[Factor]:
        """Readings of one draw as independent factors: those that add up in one, the others alone."""
        return [
            whole.evidence if balance is None else self._sum(balance, whole, parts)
            for whole, parts, balance in self._added_up(together)
        ]

    def _added_up(
        self, together: Sequence[EvidenceItem]
    ) -> list[tuple[EvidenceItem, list[EvidenceItem], Balance | None]]:
        """Readings with the parts that they are the sum of, and the sum; the others alone."""
        read = {piece.evidence.name: piece for piece in together if piece.taken is not None}
        if len(read) < len(together):
            return [(piece, [], None) for piece in together]
        found: list[tuple[EvidenceItem, list[EvidenceItem], Balance | None]] = []
        for balance in self.sums if len(read) > 1 else ():
            parts = [read[name] for name in balance.parts if name in read]
            if balance.whole in read and parts:
                found.append((read.pop(balance.whole), parts, balance))
                for piece in parts:
                    del read[piece.evidence.name]
        return [*found, *((piece, [], None) for piece in read.values())]

    def _sum(self, balance: Balance, whole: EvidenceItem, parts: Sequence[EvidenceItem]) -> Sum:
        fewer = [[part for part in parts if part is not left_out] for left_out in parts]
        rests = tuple(self._rest(balance, whole, some) for some in (parts, *fewer))
        return Sum(whole.evidence, tuple(part.evidence for part in parts), rests)

    def _rest(
        self, balance: Balance, whole: EvidenceItem, parts: Sequence[EvidenceItem]
    ) -> tuple[Evidence, float]:
        """What parts leave of the whole, as a reading; and what turns its density into one of the whole.

        Its error is that of all these readings, and of the ripple from crank to crank.
        """
        table = whole.evidence.table
        assert isinstance(table, MeterTable)
        values = [_figure(piece) for piece in (whole, *parts)]
        rest = abs(values[0] - sum(values[1:]))
        errors = [piece.taken.sd for piece in (whole, *parts) if piece.taken is not None]
        error = hypot(balance.relative * values[0] if parts else 0.0, *errors)
        seen = frozenset().union(*(self.model.covered(part.evidence.name) for part in parts))
        scale = table.scale
        read = Metered(scale.position(rest), max(error / scale.deviation(rest), _SUREST))
        factor = scale.deviation(values[0]) / scale.deviation(rest)
        return Evidence(balance.id, read, table.without(seen)), factor


def _figure(piece: EvidenceItem) -> float:
    """The figure of a meter reading, in its unit."""
    assert piece.taken is not None
    assert not isinstance(piece.taken.value, str)
    return abs(piece.taken.value)
