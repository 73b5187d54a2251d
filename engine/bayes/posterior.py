"""From evidence to chances: the posterior over hypotheses and the marginals of faults.

Given H, what was read on different cranks is independent, so the posterior is the prior times one
likelihood vector for each crank. A vector depends only on its own readings, so taking a reading back
leaves exactly what was before.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from heapq import nlargest
from math import inf
from operator import add, mul

from crankpath.engine.bayes.evidence import Evidence, Factor, Sum
from crankpath.engine.bayes.hypotheses import (
    NOTHING_REPAIRED,
    Hypotheses,
    RepairState,
    hypotheses_within,
    only_these,
    truncation_bound,
)
from crankpath.engine.bayes.likelihood import Weights, symptom_away_weights, weights_of
from crankpath.engine.bayes.tables import Members


@dataclass(frozen=True)
class Posterior:
    """Chances after the evidence.

    Attributes:
        weights: chance of each hypothesis, aligned with ``hypotheses.members``; sums to 1.
        evidence_chance: P(evidence), by the hypotheses listed.
        cranks: the evidence.
    """

    hypotheses: Hypotheses
    weights: list[float]
    evidence_chance: float
    cranks: Sequence[Crank] = ()
    _marginals: list[float] = field(default_factory=list, compare=False, repr=False)

    @cached_property
    def bound(self) -> float:
        """No marginal is off by more than this because of sets not listed."""
        if self.evidence_chance <= 0.0:
            return 1.0
        missed = truncation_bound(self.hypotheses, self.weights, self._weigh)
        return 1.0 if missed == inf else missed / (1.0 + missed)

    def _weigh(self, sets: Sequence[Members]) -> float:
        """Weight of sets that are not listed, beside those that are."""
        if not sets:
            return 0.0
        further, wanted = only_these(self.hypotheses, sets), set(sets)
        product: Iterable[float] = further.prior
        for crank in self.cranks:
            product = map(mul, product, likelihood(further, crank))
        pairs = zip(further.members, product, strict=True)
        return sum(weight for members, weight in pairs if members in wanted) / self.evidence_chance

    @property
    def unlisted(self) -> float:
        """Chance that nothing listed is at fault."""
        return self.weights[0]

    def marginals(self) -> list[float]:
        """Chance of each element."""
        if not self._marginals:
            self._marginals.extend(self._sum_up())
        return self._marginals

    def chances_of(self, elements: Iterable[int]) -> float:
        """Chances of some elements added up; where nothing else is asked, without those of all others."""
        hypotheses, weights = self.hypotheses, self.weights
        if self._marginals or not hypotheses.rows or hypotheses.larger < len(weights):
            return sum([self.marginals()[index] for index in elements])
        count, total = len(hypotheses.elements), 0.0
        for index in elements:
            start, partner = hypotheses.rows[index]
            before = [first for first, (_, own) in enumerate(hypotheses.rows[:index]) if own <= index]
            total += weights[1 + index] + sum(weights[start : start + count - partner])
            total += sum([weights[hypotheses.place(first, index)] for first in before])
        return total

    def _sum_up(self) -> list[float]:
        hypotheses, weights = self.hypotheses, self.weights
        count = len(hypotheses.elements)
        sums = weights[1 : 1 + count] if hypotheses.largest >= 1 else [0.0] * count
        for index, (start, partner) in enumerate(hypotheses.rows):
            row = weights[start : start + count - partner]
            sums[index] += sum(row)
            sums[partner:] = map(add, sums[partner:], row)
        for place in range(hypotheses.larger, len(weights)):
            for member in hypotheses.members[place]:
                sums[member] += weights[place]
        return sums

    def chances_of_groups(
        self, group_of: Sequence[int], groups: int, repair_state: RepairState
    ) -> list[float]:
        """Chance that some element of a group is still there.

        Args:
            group_of: for each element its group, from 0.
            groups: their number.
            repair_state: what repairs have taken away.
        """
        hypotheses, weights = self.hypotheses, self.weights
        sums = [0.0] * groups
        for index, chance in enumerate(self.marginals()):
            if index not in repair_state.elements:
                sums[group_of[index]] += chance
        # A set with several elements of one group was counted for each of them.
        for place, members in self._hypotheses_sharing_a_repair(group_of, groups):
            left = [group_of[member] for member in members if member not in repair_state.elements]
            for group in left:
                sums[group] -= weights[place] * (1.0 - 1.0 / left.count(group))
        persists = repair_state.symptom_persists
        repaired = hypotheses_within(hypotheses, repair_state.elements) if persists else ()
        for place, members in repaired:
            for group in {group_of[member] for member in members}:
                sums[group] += weights[place]
        return [max(chance, 0.0) for chance in sums]

    def _hypotheses_sharing_a_repair(
        self, group_of: Sequence[int], groups: int
    ) -> Iterator[tuple[int, Members]]:
        """Sets that can hold several elements of one group, with their places."""
        hypotheses = self.hypotheses
        together: list[list[int]] = [[] for _ in range(groups)]
        for index, group in enumerate(group_of):
            together[group].append(index)
        for indexes in together:
            for first, second in hypotheses.pairs_within(indexes):
                yield hypotheses.place(first, second), (first, second)
        for place in range(hypotheses.larger, len(hypotheses.members)):
            yield place, hypotheses.members[place]

    def fault_marginals(self) -> dict[str, float]:
        """Chance of each fault, over all its degrees."""
        chances: dict[str, float] = {}
        for element, chance in zip(self.hypotheses.elements, self.marginals(), strict=True):
            chances[element.fault] = chances.get(element.fault, 0.0) + chance
        return chances

    def leading(self, mass: float, most: int) -> tuple[list[int], list[float]]:
        """The likeliest hypotheses that together hold ``mass``, at most ``most`` of them.

        Returns:
            Their places in ``hypotheses.members``, and their chances scaled to sum to 1.
        """
        weights = self.weights
        foremost = nlargest(most, weights)
        floor, last = foremost[0] * 1e-6, foremost[-1]
        order = [place for place, weight in enumerate(weights) if weight >= last and weight > floor]
        order.sort(key=weights.__getitem__, reverse=True)
        held, count = 0.0, 0
        for place in order[:most]:
            held += weights[place]
            count += 1
            if held >= mass:
                break
        chosen = order[:count]
        return chosen, [weights[place] / held for place in chosen]


@dataclass(frozen=True)
class Crank:
    """What was read while one draw of the faults held: on one crank, or by itself.

    Attributes:
        factors: readings, independent given the faults that show.
        symptom_probability: chance that the complaint was there: 1 and 0 where that was seen.
        shows: per element, the chance that it shows although the symptom is away.
        repaired: what repairs had taken away by then.
    """

    factors: tuple[Factor, ...]
    symptom_probability: float
    shows: tuple[float, ...]
    repaired: RepairState = NOTHING_REPAIRED

    @property
    def identity(self) -> object:
        """Equal for cranks that say the same."""
        return (self.symptom_probability, self.repaired, *(factor.identity for factor in self.factors))


def likelihood(hypotheses: Hypotheses, crank: Crank) -> list[float]:
    """P(what was read on a crank | H) for every hypothesis."""
    state = crank.repaired
    values = _values(hypotheses, crank, state.unseen)
    if state.symptom_persists:
        if state.hidden:
            _put_back(values, hypotheses, crank, state.unseen, state.elements)
        _put_back(values, hypotheses, crank, state.elements, frozenset())
    for factor in crank.factors:
        if isinstance(factor, Evidence) and factor.outcome is not None:
            for place, members in hypotheses_within(hypotheses, state.unseen):
                values[place] = factor.outcome.outcome_likelihood(members, state, values[place])
    return values


def _put_back(
    values: list[float], hypotheses: Hypotheses, crank: Crank, gone: frozenset[int], left: frozenset[int]
) -> None:
    """Weigh the sets of which all is gone as if only what is in ``left`` were."""
    shown = _values(hypotheses, crank, left)
    for place, _ in hypotheses_within(hypotheses, gone):
        values[place] = shown[place]


def _values(hypotheses: Hypotheses, crank: Crank, repaired: frozenset[int]) -> list[float]:
    first, *rest = (_taken_again(hypotheses, factor, repaired, crank.repaired) for factor in crank.factors)
    weights: Weights = first
    for other in rest:
        weights = weights.times(other)
    if crank.symptom_probability == 1.0:
        return weights.values
    away = symptom_away_weights(hypotheses, weights, crank.shows)
    if crank.symptom_probability == 0.0:
        return away.values
    there = crank.symptom_probability
    return [there * a + (1.0 - there) * b for a, b in zip(weights.values, away.values, strict=True)]


def _taken_again(
    hypotheses: Hypotheses, factor: Factor, repaired: frozenset[int], state: RepairState
) -> Weights:
    """A factor's weights; what no repair has touched since an earlier take mostly reads as it did then."""
    weights = weights_of(hypotheses, factor, repaired)
    if isinstance(factor, Sum) or factor.before is None:
        return weights
    before, values = factor.before, weights.values
    for place, members in enumerate(hypotheses.members):
        if before.untouched(factor.table, members, state):
            values[place] = before.weigh(factor.read, values[place])
    return weights


def posterior(
    hypotheses: Hypotheses,
    cranks: Sequence[Crank],
    vectors: Callable[[Hypotheses, Crank], Sequence[float]] = likelihood,
    known: Product | None = None,
) -> Posterior:
    """The posterior given all evidence, with a bound on what was left out.

    Args:
        hypotheses: prior sets.
        cranks: in any order; the result does not depend on it beyond float rounding.
        vectors: how a likelihood vector is got (a cache may be put in between).
        known: what was multiplied for an earlier posterior; it is taken from there as far as the cranks are
            the same from the first on, and then holds what was multiplied for this one.
    """
    known = Product() if known is None else known
    cranks = tuple(cranks)
    identities = [crank.identity for crank in cranks]
    begun = len(known.identities) if identities[: len(known.identities)] == known.identities else 0
    product: Iterable[float] = known.weights if begun else hypotheses.prior
    for crank in cranks[begun:]:
        product = map(mul, product, vectors(hypotheses, crank))  # multiplied out below, in one go
    known.identities, known.weights = identities, array("d", product)
    return posterior_from_weights(hypotheses, known.weights, cranks)


@dataclass
class Product:
    """The prior times what some cranks give: the weights of the sets, and the identities of the cranks."""

    identities: list[object] = field(default_factory=list)
    weights: Sequence[float] = ()


def posterior_from_weights(
    hypotheses: Hypotheses, weights: Sequence[float], cranks: Sequence[Crank], chance: float = 1.0
) -> Posterior:
    """The posterior from weights that need not sum to 1, but to P(evidence) when multiplied by ``chance``.

    Evidence that no listed set can give says nothing: then it is the prior, with the widest bound.
    """
    whole = sum(weights)
    if whole <= 0.0:
        whole = sum(hypotheses.prior)
        return Posterior(hypotheses, [weight / whole for weight in hypotheses.prior], 0.0)
    return Posterior(hypotheses, [weight / whole for weight in weights], whole * chance, cranks)
