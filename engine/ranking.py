"""From evidence to chances: the posterior over hypotheses and the marginals of faults.

Given H, readings are independent, so the posterior is the prior times one likelihood
vector per piece of evidence. A vector depends only on the evidence, never on the other
readings, so taking a reading back leaves exactly what was before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from operator import mul

from crankpath.engine.hypotheses import Hypotheses, Members, mass_of_larger_sets
from crankpath.engine.tables import Chances, Table


@dataclass(frozen=True)
class Evidence:
    """One piece of evidence: a reading's shares over the bands, with what it speaks of.

    Attributes:
        name: the measurement.
        shares: weight of each band, summing to 1 (soft evidence near a limit).
        table: P(band | H) in force when it was taken.
        key: names the set of elements with an effect in the table.
        symptom: whether the complaint showed while it was taken.
        removed: elements a repair had taken away by then.
        persists: evidence that the complaint is still there (or gone) after a repair;
            then ``shares`` weigh the bands as usual and ``botched`` is the chance used for
            hypotheses that the repair should have emptied.
    """

    name: str
    shares: tuple[float, ...]
    table: Table
    key: object
    symptom: bool = True
    removed: frozenset[int] = frozenset()
    botched: float | None = None
    identity: object = None


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
            sums = [0.0] * len(self.hypotheses.elements)
            for members, weight in zip(self.hypotheses.members, self.weights, strict=True):
                for member in members:
                    sums[member] += weight
            self._marginals.extend(sums)
        return self._marginals

    def fault_marginals(self) -> dict[str, float]:
        """Chance of each fault, over all its degrees."""
        chances: dict[str, float] = {}
        for element, chance in zip(self.hypotheses.elements, self.marginals(), strict=True):
            chances[element.fault] = chances.get(element.fault, 0.0) + chance
        return chances

    def leading(self, mass: float, most: int) -> list[tuple[Members, float]]:
        """The likeliest hypotheses that together hold ``mass``, at most ``most`` of them."""
        weights = self.weights
        order = sorted(range(len(weights)), key=weights.__getitem__, reverse=True)
        chosen: list[tuple[Members, float]] = []
        held = 0.0
        for index in order[:most]:
            chosen.append((self.hypotheses.members[index], weights[index]))
            held += weights[index]
            if held >= mass:
                break
        return [(members, weight / held) for members, weight in chosen]


def likelihoods(hypotheses: Hypotheses, evidence: Evidence) -> list[float]:
    """P(evidence | H) for every hypothesis listed."""
    index, groups = hypotheses.classes(evidence.key, evidence.table, evidence.removed)
    table, shares = evidence.table, evidence.shares
    row: Callable[[Members], Chances] = table.chances if evidence.symptom else table.chances_away
    by_class = [_weigh(shares, table.unlisted or table.healthy)]
    by_class += [_weigh(shares, row(touched)) for touched in groups[1:]]
    values = [by_class[number] for number in index]
    if evidence.botched is not None:
        removed, botched = evidence.removed, evidence.botched
        for place, members in enumerate(hypotheses.members):
            if members and removed.issuperset(members):
                values[place] = botched
    return values


def _weigh(shares: Sequence[float], chances: Chances) -> float:
    weight: float = sum(map(mul, shares, chances))
    return weight


def posterior(
    hypotheses: Hypotheses,
    evidence: Sequence[Evidence],
    vectors: Callable[[Hypotheses, Evidence], list[float]] = likelihoods,
) -> Posterior:
    """The posterior given all evidence, with a bound on what was left out.

    Args:
        hypotheses: prior sets.
        evidence: in any order; the result does not depend on it beyond float rounding.
        vectors: how a likelihood vector is got (a cache may be put in between).
    """
    weights = list(hypotheses.prior)
    for piece in evidence:
        weights = list(map(mul, weights, vectors(hypotheses, piece)))
    whole = sum(weights)
    if whole <= 0.0:
        weights, whole = list(hypotheses.prior), sum(hypotheses.prior)
    bound = 0.0
    if hypotheses.left_out > 0.0:
        missed = mass_of_larger_sets(hypotheses, _ceilings(hypotheses, evidence))
        bound = missed / (whole + missed)
    return Posterior(hypotheses, [weight / whole for weight in weights], whole, bound)


def _ceilings(hypotheses: Hypotheses, evidence: Sequence[Evidence]) -> list[float]:
    """Per element, what P(evidence | H) cannot exceed for any H that contains it.

    Under noisy-MAX a further cause only moves chance towards the dominant end, so
    P(band | H) <= F_H(band) <= F_f(band) for every f in H. Masks, pooled readings and
    readings with the symptom away get the plain ceiling 1.
    """
    ceilings = [1.0] * len(hypotheses.elements)
    for piece in evidence:
        table = piece.table
        plain = table.push != "both" and piece.symptom and piece.botched is None
        if not plain or any(effect.masks for effect in table.effects.values()):
            continue
        shares = piece.shares if table.push == "up" else piece.shares[::-1]
        background = _reach(shares, table.healthy, table.push)
        for place in range(len(ceilings)):
            effect = table.effects.get(place) if place not in piece.removed else None
            reach = background if effect is None else _reach(shares, effect.chances, table.push)
            ceilings[place] *= min(1.0, reach, background)
    return ceilings


def _reach(shares: Sequence[float], chances: Chances, push: str) -> float:
    """Sum of share(band) * F(band), F cumulative towards the dominant end."""
    total, cumulative = 0.0, 0.0
    for share, chance in zip(shares, chances if push == "up" else chances[::-1], strict=True):
        cumulative += chance
        total += share * cumulative
    return total
