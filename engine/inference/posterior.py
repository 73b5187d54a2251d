"""From evidence to chances: the posterior over hypotheses and the marginals of faults.

Given H, readings are independent, so the posterior is the prior times one likelihood
vector per piece of evidence. A vector depends only on the evidence, never on the other
readings, so taking a reading back leaves exactly what was before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from heapq import nlargest
from operator import add, mul

from crankpath.engine.inference.evidence import Evidence
from crankpath.engine.inference.hypotheses import (
    Hypotheses,
    RepairState,
    fully_repaired_hypotheses,
    truncation_bound,
)
from crankpath.engine.inference.likelihood import listed_likelihoods
from crankpath.engine.inference.tables import Chances, Members


@dataclass(frozen=True)
class Posterior:
    """Chances after the evidence.

    Attributes:
        weights: chance of each hypothesis, aligned with ``hypotheses.members``; sums to 1.
        evidence_chance: P(evidence), by the hypotheses listed.
        bound: no marginal is off by more than this because of sets not listed.
    """

    hypotheses: Hypotheses
    weights: list[float]
    evidence_chance: float
    bound: float
    _marginals: list[float] = field(default_factory=list, compare=False, repr=False)

    @property
    def unlisted(self) -> float:
        """Chance that nothing listed is at fault."""
        return self.weights[0]

    def marginals(self) -> list[float]:
        """Chance of each element."""
        if not self._marginals:
            self._marginals.extend(self._sum_up())
        return self._marginals

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

    def chances_of_groups(self, group_of: Sequence[int], groups: int, mended: RepairState) -> list[float]:
        """Chance that some element of a group is still there.

        Args:
            group_of: for each element its group, from 0.
            groups: their number.
            mended: what repairs have taken away.
        """
        hypotheses, weights = self.hypotheses, self.weights
        sums = [0.0] * groups
        for index, chance in enumerate(self.marginals()):
            if index not in mended.elements:
                sums[group_of[index]] += chance
        # A set with several elements of one group was counted for each of them.
        for place, members in self._hypotheses_sharing_a_repair(group_of, groups):
            left = [group_of[member] for member in members if member not in mended.elements]
            for group in left:
                sums[group] -= weights[place] * (1.0 - 1.0 / left.count(group))
        repaired = fully_repaired_hypotheses(hypotheses, mended) if mended.symptom_persists else ()
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


@dataclass(frozen=True, slots=True)
class Likelihood:
    """What one piece of evidence says of everything listed, and of what is not.

    values: P(evidence | H) for every hypothesis. ceilings: for every element, what
    P(evidence | H) cannot exceed for any H that contains it.
    """

    values: Sequence[float]
    likelihood_upper_bounds: Sequence[float]


def likelihood(hypotheses: Hypotheses, evidence: Evidence) -> Likelihood:
    """Both, for one piece of evidence."""
    if evidence.unseen:
        return mixed(evidence, lambda seen: likelihood(hypotheses, seen))
    others, own = _piece_upper_bounds(evidence)
    bounds = [own.get(place, others) for place in range(len(hypotheses.elements))]
    if evidence.before is not None:
        bounds = [max(bound, evidence.before.value(evidence.shares, bound)) for bound in bounds]
    return Likelihood(likelihoods(hypotheses, evidence), bounds)


def mixed(evidence: Evidence, of: Callable[[Evidence], Likelihood]) -> Likelihood:
    """What a piece says where nobody saw whether the complaint was there: now the one, now the other.

    Args:
        evidence: unseen.
        of: what a piece says with the complaint seen to be there, or to be away.
    """
    there = of(replace(evidence, symptom_probability=1.0))
    away = of(replace(evidence, symptom_probability=0.0))
    return Likelihood(
        blended(evidence.symptom_probability, there.values, away.values),
        blended(evidence.symptom_probability, there.likelihood_upper_bounds, away.likelihood_upper_bounds),
    )


def blended(symptom_probability: float, there: Sequence[float], away: Sequence[float]) -> tuple[float, ...]:
    """``symptom_probability * there + (1 - symptom_probability) * away``, one by one."""
    p, q = symptom_probability, 1.0 - symptom_probability
    return tuple([p * one + q * other for one, other in zip(there, away, strict=True)])


def likelihoods(hypotheses: Hypotheses, evidence: Evidence) -> list[float]:
    """P(evidence | H) for every hypothesis listed."""
    if evidence.unseen:
        return list(mixed(evidence, lambda seen: likelihood(hypotheses, seen)).values)
    mended, symptom = evidence.mended, evidence.symptom_probability == 1.0
    values = listed_likelihoods(hypotheses, evidence.table, evidence.shares, symptom, mended)
    if evidence.outcome is not None:
        for place, members in fully_repaired_hypotheses(hypotheses, mended):
            values[place] = evidence.outcome.outcome_likelihood(members)
    before = evidence.before
    if before is not None:
        for place, members in enumerate(hypotheses.members):
            if before.untouched(evidence.table, members, mended):
                values[place] = before.value(evidence.shares, values[place])
    return values


def posterior(
    hypotheses: Hypotheses,
    evidence: Sequence[Evidence],
    vectors: Callable[[Hypotheses, Evidence], Likelihood] = likelihood,
) -> Posterior:
    """The posterior given all evidence, with a bound on what was left out.

    Args:
        hypotheses: prior sets.
        evidence: in any order; the result does not depend on it beyond float rounding.
        vectors: how a likelihood vector is got (a cache may be put in between).
    """
    product: Iterable[float] = hypotheses.prior
    likelihood_upper_bounds = [1.0] * len(hypotheses.elements)
    for piece in evidence:
        known = vectors(hypotheses, piece)
        product = map(mul, product, known.values)  # multiplied out below, in one go
        likelihood_upper_bounds = list(map(mul, likelihood_upper_bounds, known.likelihood_upper_bounds))
    weights = list(product)
    whole = sum(weights)
    if whole <= 0.0:
        return _impossible(hypotheses)
    bound = 0.0
    if hypotheses.left_out > 0.0:
        missed = truncation_bound(hypotheses, likelihood_upper_bounds)
        bound = missed / (whole + missed)
    return Posterior(hypotheses, [weight / whole for weight in weights], whole, bound)


def _impossible(hypotheses: Hypotheses) -> Posterior:
    """Evidence that no listed set can give says nothing: the prior, with the widest bound."""
    whole = sum(hypotheses.prior)
    return Posterior(hypotheses, [weight / whole for weight in hypotheses.prior], 0.0, 1.0)


def _piece_upper_bounds(piece: Evidence) -> tuple[float, dict[int, float]]:
    """The ceiling of one piece of evidence for any element, and for those with one of their own.

    Under noisy-MAX a further cause only moves chance towards the dominant end, so
    P(band | H) <= F_H(band) <= F_f(band) for every f in H, F being cumulative from the other
    end. A higher mask may take the reading over; with the symptom away f may not show.
    Pooled odds have no such ceiling: only the largest share bounds them.
    """
    table = piece.table
    all_mended = 0.0 if piece.outcome is None else 1.0
    most = max(piece.shares)
    if table.push == "both":
        return max(most, all_mended), {}
    acting = {
        place: effect
        for place, effect in table.effects.items()
        if piece.mended.symptom_persists or place not in piece.mended.elements
    }
    reach = {place: min(most, _reach(piece.shares, e.chances, table.push)) for place, e in acting.items()}
    any_ = max(min(most, _reach(piece.shares, table.healthy, table.push)), *reach.values(), 0.0)
    by_rank: dict[int, float] = {}
    for place, effect in acting.items():
        by_rank[effect.masks] = max(reach[place], by_rank.get(effect.masks, 0.0))
    own: dict[int, float] = {}
    for place, effect in acting.items():
        over = (ceiling for rank, ceiling in by_rank.items() if rank > effect.masks)
        shown = max(reach[place], *over, 0.0)
        shows = 1.0 if piece.symptom_probability == 1.0 else table.away.get(place, 1.0)
        own[place] = shows * shown + (1.0 - shows) * any_
    own.update((p, max(any_, all_mended, own.get(p, 0.0))) for p in piece.mended.elements)
    return any_, own


def _reach(shares: Sequence[float], chances: Chances, push: str) -> float:
    """Sum of share(band) * F(band), F cumulative towards the dominant end."""
    total, cumulative = 0.0, 0.0
    ends = (shares, chances) if push == "up" else (shares[::-1], chances[::-1])
    for share, chance in zip(*ends, strict=True):
        cumulative += chance
        total += share * cumulative
    return total
