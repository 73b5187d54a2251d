"""Sets of faults left out of the sum: how far chances can be off, and that it is said.

Henrion (UAI 1991) bounds the posterior by the mass of the hypotheses not searched; here that mass is
estimated from above. Exact means every set listed, which `test_reference_network` holds to an
independent library.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import pytest

from crankpath.engine.bayes.evidence import Evidence, Observed, RepairOutcome
from crankpath.engine.bayes.hypotheses import Element, Hypotheses, RepairState, list_hypotheses
from crankpath.engine.bayes.posterior import Crank, Posterior, posterior
from crankpath.engine.bayes.tables import Chances, Effect, ObservationTable, noisy_max

NETWORKS = pytest.mark.parametrize(
    "networks",
    [range(60), pytest.param(range(60, 300), marks=pytest.mark.slow)],
    ids=lambda networks: f"{networks.start} to {networks.stop}",
)
ROUNDING = 1e-9


def random_chances(rng: Random, bands: int, towards: int | None = None) -> Chances:
    weights = [0.02 + 0.2 * rng.random() + 2.0 * (band == towards) for band in range(bands)]
    return tuple(weight / sum(weights) for weight in weights)


def random_table(rng: Random, elements: int) -> ObservationTable:
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
    combination = {"up": "largest", "down": "smallest", "both": "product_of_odds"}[push]
    return ObservationTable(healthy, effects, random_chances(rng, bands), away, combination)


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


def drawn_evidence(rng: Random, every: Hypotheses) -> list[Crank]:
    """Readings as they would be taken with one set of faults, drawn by its prior chance."""
    (truth,) = rng.choices(every.members, every.prior)
    cranks = []
    for number in range(rng.randint(2, 6)):
        table, seen = random_table(rng, len(every.elements)), rng.random() < 0.8
        there = 0.3 if number % 4 == 3 else float(seen)  # of some nobody saw whether it was
        pairs = zip(table.outcomes_of[truth], table.outcomes_away[truth], strict=True)
        row = [there * a + (1 - there) * b for a, b in pairs]
        (value,) = rng.choices(range(len(row)), row if truth else table.unlisted)
        shares = tuple(float(value == other) for other in range(len(row)))
        if rng.random() < 0.3:
            soft = random_chances(rng, len(row))
            shares = tuple(0.7 * hard + 0.3 * spread for hard, spread in zip(shares, soft, strict=True))
        shows = tuple(table.shows_when_symptom_absent.get(e, 1.0) for e in range(len(every.elements)))
        evidence = Evidence(f"reading {number}", Observed(shares), table, there)
        cranks.append(Crank((evidence,), there, shows))
    return cranks


def after_a_repair(rng: Random, cranks: list[Crank], elements: int) -> list[Crank]:
    """The same readings, the last ones taken with some elements repaired."""
    state = RepairState(frozenset(rng.sample(range(elements), rng.randint(1, 2))), rng.random() < 0.5)
    split = rng.randrange(len(cranks))
    later = [
        replace(crank, repaired=state, factors=(replace(crank.factors[0], repaired=state),))
        for crank in cranks[split:]
    ]
    outcome = RepairOutcome(state.elements, rng.choice([0.03, 0.97]))
    later[-1] = replace(later[-1], factors=(replace(later[-1].factors[0], outcome=outcome),))
    return cranks[:split] + later


def a_case(seed: int) -> tuple[list[Element], float | None, list[Crank]]:
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
@pytest.mark.parametrize("largest", [2, 3])
def test_no_chance_is_off_by_more_than_the_stated_bound(networks: range, largest: int) -> None:
    for seed in networks:
        some, exact = weighed(seed, largest), weighed(seed, 9)
        off = [abs(a - b) for a, b in zip(some.marginals(), exact.marginals(), strict=True)]
        off.append(abs(some.unlisted - exact.unlisted))
        assert max(off) <= some.bound + ROUNDING, f"network {seed}"
        assert some.bound > 0.0
        assert exact.bound == 0.0


@NETWORKS
def test_the_bound_is_small_where_two_faults_explain_everything(networks: range) -> None:
    bounds = sorted(weighed(seed, 2).bound for seed in networks)
    assert bounds[len(bounds) // 2] < 0.02


def test_the_mass_is_bounded_for_evidence_that_only_larger_sets_explain() -> None:
    """Three readings, each abnormal by one fault only: two of the faults are never enough."""
    elements = [Element(f"fault {number}", "present", 0.05) for number in range(5)]
    sound = (0.98, 0.02)
    tables = [ObservationTable(sound, {number: Effect((0.02, 0.98))}, sound) for number in range(3)]
    pieces = [Evidence(str(n), Observed((0.0, 1.0)), table) for n, table in enumerate(tables)]
    cranks = [Crank((piece,), 1.0, (1.0,) * 5) for piece in pieces]
    some = posterior(list_hypotheses(elements, largest=2), cranks)
    exact = posterior(list_hypotheses(elements, largest=5), cranks)
    off = max(abs(a - b) for a, b in zip(some.marginals(), exact.marginals(), strict=True))
    assert 0.1 < off <= some.bound


def test_where_only_single_faults_are_listed_nothing_is_known_of_the_rest() -> None:
    elements, unlisted, cranks = a_case(1)
    assert posterior(list_hypotheses(elements, unlisted, largest=1), cranks).bound == 1.0


def test_evidence_that_no_listed_set_can_give_leaves_the_prior_with_the_widest_bound() -> None:
    hypotheses = list_hypotheses([Element("a", "present", 0.1), Element("b", "present", 0.2)], largest=1)
    table = ObservationTable((1.0, 0.0), {0: Effect((1.0, 0.0))}, (1.0, 0.0))
    never = Crank((Evidence("reading", Observed((0.0, 1.0)), table),), 1.0, (1.0, 1.0))
    result = posterior(hypotheses, [never])
    whole = sum(hypotheses.prior)
    assert result.weights == pytest.approx([chance / whole for chance in hypotheses.prior])
    assert result.evidence_chance == 0.0
    assert result.bound == 1.0
