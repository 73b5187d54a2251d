"""Sets of faults left out of the sum: how far chances can be off, and that it is said.

Henrion (UAI 1991) bounds the posterior by the mass of the hypotheses not searched. Exact
here means every set listed, which `test_reference_network` holds to an independent library.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from random import Random

import pytest

from crankpath.engine.inference.evidence import Evidence, Outcome
from crankpath.engine.inference.hypotheses import (
    Element,
    Hypotheses,
    RepairState,
    list_hypotheses,
    truncation_bound,
)
from crankpath.engine.inference.posterior import Posterior, blended, likelihoods, posterior
from crankpath.engine.inference.tables import Chances, Effect, Table, noisy_max

NETWORKS = pytest.mark.parametrize(
    "networks",
    [range(60), pytest.param(range(60, 300), marks=pytest.mark.slow)],
    ids=lambda networks: f"{networks.start} to {networks.stop}",
)
ROUNDING = 1e-9


def random_chances(rng: Random, bands: int, towards: int | None = None) -> Chances:
    weights = [0.02 + 0.2 * rng.random() + 2.0 * (band == towards) for band in range(bands)]
    return tuple(weight / sum(weights) for weight in weights)


def random_table(rng: Random, elements: int) -> Table:
    """A reading that is mostly healthy, with some causes; now and then a rule no check would pass."""
    bands, push, masked = rng.randint(2, 4), rng.choice(["up", "up", "down", "both"]), rng.random() < 0.4
    good = {"up": 0, "down": bands - 1, "both": bands // 2}[push]
    healthy = random_chances(rng, bands, good)
    effects = {}
    for element in rng.sample(range(elements), rng.randint(1, elements)):
        chances = random_chances(rng, bands, rng.choice([band for band in range(bands) if band != good]))
        if push != "both" and rng.random() < 0.8:
            chances = worse(push, healthy, chances)
        effects[element] = Effect(chances, rng.choice([0, 0, 1, 2]) if masked else 0)
    away = {element: rng.choice([0.1, 0.5, 0.9]) for element in effects}
    return Table(healthy, effects, push, random_chances(rng, bands), away)


def worse(push: str, healthy: Chances, own: Chances) -> Chances:
    """The compound effect of a cause and the background: never better than healthy."""
    best = tuple(float(band == 0) for band in range(len(own)))
    if push == "up":
        return noisy_max(best, [healthy, own])
    return noisy_max(best, [healthy[::-1], own[::-1]])[::-1]


def random_elements(rng: Random) -> list[Element]:
    return [
        Element(f"fault {fault}", f"degree {degree}", rng.uniform(0.002, 0.04))
        for fault in range(rng.randint(4, 8))
        for degree in range(rng.choice([1, 1, 2]))
    ]


def drawn_evidence(rng: Random, every: Hypotheses) -> list[Evidence]:
    """Readings as they would be taken with one set of faults, drawn by its prior chance."""
    (truth,) = rng.choices(every.members, every.prior)
    evidence = []
    for number in range(rng.randint(2, 6)):
        table, seen = random_table(rng, len(every.elements)), rng.random() < 0.8
        symptom_probability = 0.3 if number % 4 == 3 else float(seen)  # of some nobody saw whether it was
        touched = table.touched(truth)
        row = blended(symptom_probability, table.chances(touched), table.chances_away(touched))
        (band,) = rng.choices(range(len(row)), row if truth else table.unlisted)
        shares = tuple(float(band == other) for other in range(len(row)))
        if rng.random() < 0.3:
            soft = random_chances(rng, len(row))
            shares = tuple(0.7 * hard + 0.3 * spread for hard, spread in zip(shares, soft, strict=True))
        evidence.append(Evidence(f"reading {number}", shares, table, number, symptom_probability))
    return evidence


def after_a_repair(rng: Random, evidence: list[Evidence], elements: int) -> list[Evidence]:
    """The same readings, the last ones taken with some elements repaired."""
    mended = RepairState(frozenset(rng.sample(range(elements), rng.randint(1, 2))), rng.random() < 0.5)
    split = rng.randrange(len(evidence))
    later = [replace(piece, mended=mended) for piece in evidence[split:]]
    later[-1] = replace(later[-1], outcome=Outcome(mended.elements, rng.choice([0.03, 0.97])))
    return evidence[:split] + later


def a_case(seed: int) -> tuple[list[Element], float | None, list[Evidence]]:
    rng = Random(seed)
    elements = random_elements(rng)
    unlisted = rng.choice([None, 0.02, 0.1])
    evidence = drawn_evidence(rng, list_hypotheses(elements, unlisted, largest=9))
    if rng.random() < 0.3:
        evidence = after_a_repair(rng, evidence, len(elements))
    return elements, unlisted, evidence


@cache
def weighed(seed: int, largest: int) -> Posterior:
    """The case with sets up to ``largest``; 9 is exact."""
    elements, unlisted, evidence = a_case(seed)
    return posterior(list_hypotheses(elements, unlisted, largest), evidence)


@NETWORKS
@pytest.mark.parametrize("largest", [1, 2])
def test_no_chance_is_off_by_more_than_the_stated_bound(networks: range, largest: int) -> None:
    for seed in networks:
        some, exact = weighed(seed, largest), weighed(seed, 9)
        off = [abs(a - b) for a, b in zip(some.marginals(), exact.marginals(), strict=True)]
        off.append(abs(some.unlisted - exact.unlisted))
        assert max(off) <= some.bound + ROUNDING, f"network {seed}"
        assert some.bound > 0.0
        assert exact.bound == 0.0


@NETWORKS
@pytest.mark.parametrize("largest", [1, 2])
def test_the_bound_says_something_in_most_cases(networks: range, largest: int) -> None:
    bounds = sorted(weighed(seed, largest).bound for seed in networks)
    assert bounds[len(bounds) // 2] < 0.2
    assert sum(bound < 0.5 for bound in bounds) >= 0.75 * len(bounds)


def test_longer_sets_bring_the_bound_down_and_the_chances_nearer() -> None:
    for seed in range(20):
        elements, unlisted, evidence = a_case(seed)
        lists = [list_hypotheses(elements, unlisted, largest) for largest in range(1, 9)]
        bounds = [posterior(some, evidence).bound for some in lists]
        assert all(a >= b - ROUNDING for a, b in pairwise(bounds)), f"network {seed}"
        assert bounds[-1] == 0.0


def test_the_mass_is_bounded_for_evidence_that_only_larger_sets_explain() -> None:
    """Three readings, each abnormal by one fault only: two of the faults are never enough."""
    elements = [Element(f"fault {number}", "present", 0.05) for number in range(5)]
    tables = [Table((0.98, 0.02), {number: Effect((0.02, 0.98))}) for number in range(3)]
    evidence = [Evidence(str(n), (0.0, 1.0), table, n) for n, table in enumerate(tables)]
    some = posterior(list_hypotheses(elements, largest=2), evidence)
    exact = posterior(list_hypotheses(elements, largest=5), evidence)
    off = max(abs(a - b) for a, b in zip(some.marginals(), exact.marginals(), strict=True))
    assert 0.1 < off <= some.bound


def test_a_fault_that_makes_a_reading_better_than_healthy_does_not_fool_the_bound() -> None:
    """A check refuses such a rule; should one slip through, the bound must still hold."""
    elements = [Element("better", "present", 0.2), Element("other", "present", 0.3)]
    odd = Evidence("reading", (1.0, 0.0), Table((0.02, 0.98), {0: Effect((0.98, 0.02))}), "key")
    some = posterior(list_hypotheses(elements, 0.01, largest=1), [odd])
    exact = posterior(list_hypotheses(elements, 0.01, largest=2), [odd])
    off = max(abs(a - b) for a, b in zip(some.marginals(), exact.marginals(), strict=True))
    assert 0.2 < off <= some.bound


@NETWORKS
def test_the_mass_left_out_is_never_understated(networks: range) -> None:
    for seed in networks:
        elements, unlisted, evidence = a_case(seed)
        every = list_hypotheses(elements, unlisted, largest=9)
        chances = list(every.prior)
        likelihood_upper_bounds = [0.0] * len(elements)
        likelihood = [1.0] * len(chances)
        for piece in evidence:
            likelihood = [a * b for a, b in zip(likelihood, likelihoods(every, piece), strict=True)]
        for members, chance in zip(every.members, likelihood, strict=True):
            for member in members:
                likelihood_upper_bounds[member] = max(likelihood_upper_bounds[member], chance)
        for largest in (1, 2):
            missed = sum(
                chance * given
                for members, chance, given in zip(every.members, chances, likelihood, strict=True)
                if len(members) > largest
            )
            some = list_hypotheses(elements, unlisted, largest)
            bound = truncation_bound(some, likelihood_upper_bounds)
            assert missed <= bound * (1.0 + ROUNDING) + 1e-15, f"network {seed}"


def test_evidence_that_no_listed_set_can_give_leaves_the_prior_with_the_widest_bound() -> None:
    hypotheses = list_hypotheses([Element("a", "present", 0.1), Element("b", "present", 0.2)], largest=1)
    never = Evidence("reading", (0.0, 1.0), Table((1.0, 0.0), {0: Effect((1.0, 0.0))}), "key")
    result = posterior(hypotheses, [never])
    whole = sum(hypotheses.prior)
    assert result.weights == pytest.approx([chance / whole for chance in hypotheses.prior])
    assert result.evidence_chance == 0.0
    assert result.bound == 1.0
