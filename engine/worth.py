"""What a reading is worth: bits about the right repair, and minutes saved.

The expected cost to a cured machine follows the probability-over-cost order (Kadane &
Simon 1977; Heckerman, Breese & Rommelse 1995): try repairs by falling chance per minute,
stop and call for help where that is cheaper. The cost of the repair that is needed anyway
is the same for every policy, so only wasted minutes are counted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum, log2

Answer = frozenset[str]
"""The repairs that together cure; empty: something not listed."""


@dataclass(frozen=True, slots=True)
class Costs:
    """Minutes wasted by a repair that was not needed, and by calling for help."""

    wasted: Mapping[str, float]
    help: float


def expected_waste(weights: Mapping[Answer, float], costs: Costs) -> float:
    """Expected minutes wasted before the machine is cured, times the sum of the weights.

    Args:
        weights: (unnormalised) chance of each answer.
        costs: minutes of each wrong repair and of help.

    >>> costs = Costs({"a": 10.0, "b": 5.0}, 1000.0)
    >>> expected_waste({frozenset("a"): 0.5, frozenset("b"): 0.5}, costs)
    2.5
    """
    waste, left = 0.0, sum(weights.values())
    for repair, chance, share in _order(weights, costs):
        wrong = costs.wasted[repair] * (left - chance)
        if chance * costs.help <= wrong:
            break
        waste += wrong
        left -= share
    return waste + max(left, 0.0) * costs.help


def _order(weights: Mapping[Answer, float], costs: Costs) -> list[tuple[str, float, float]]:
    """(repair, chance that it is needed, chance that it completes a cure), in p/c order."""
    chance: dict[str, float] = {}
    for answer, weight in weights.items():
        for repair in answer:
            chance[repair] = chance.get(repair, 0.0) + weight
    ordered = sorted(chance, key=lambda repair: (-chance[repair] / costs.wasted[repair], repair))
    place = {repair: index for index, repair in enumerate(ordered)}
    completes = [0.0] * len(ordered)
    for answer, weight in weights.items():
        if answer:
            completes[max(place[repair] for repair in answer)] += weight
    return [(repair, chance[repair], completes[place[repair]]) for repair in ordered]


def repair_order(weights: Mapping[Answer, float], costs: Costs) -> tuple[str, ...]:
    """Repairs by falling chance per minute wasted."""
    return tuple(repair for repair, _, _ in _order(weights, costs))


def entropy(weights: Sequence[float]) -> float:
    """Entropy in bits of weights that need not sum to 1."""
    whole = sum(weights)
    if whole <= 0.0:
        return 0.0
    return -fsum(w / whole * log2(w / whole) for w in weights if w > 0.0)


def information(joint: Mapping[Answer, Sequence[float]]) -> float:
    """Mutual information in bits between answer and band, from their joint chances."""
    if not joint:
        return 0.0
    bands = [sum(column) for column in zip(*joint.values(), strict=True)]
    whole = sum(bands)
    inner: float = sum(sum(row) / whole * entropy(row) for row in joint.values())
    return max(0.0, entropy(bands) - inner)
