"""Likelihoods worked out a row at a time against the distribution of every set, one by one."""

from __future__ import annotations

from random import Random

import pytest

from crankpath.engine.bayes.combining import noisy_max
from crankpath.engine.bayes.evidence import Evidence, Observed
from crankpath.engine.bayes.hypotheses import Element, RepairState, list_hypotheses
from crankpath.engine.bayes.posterior import Crank, likelihood
from crankpath.engine.bayes.tables import Chances, Effect, ObservationTable

SEEDS = range(60)


def chances(rng: Random, bands: int) -> Chances:
    weights = [rng.random() + 0.01 for _ in range(bands)]
    return tuple(weight / sum(weights) for weight in weights)


def table_of(rng: Random, elements: int) -> ObservationTable:
    """Some elements act, or all, or none; masks and ways to combine of every kind."""
    bands, push = rng.randint(2, 5), rng.choice(["up", "down", "both"])
    healthy = chances(rng, bands)
    effects = {}
    for element in rng.sample(range(elements), rng.choice([0, 1, elements // 2, elements])):
        row = chances(rng, bands)
        if push == "up":
            row = noisy_max((1.0, *[0.0] * (bands - 1)), [healthy, row])
        elif push == "down":
            row = noisy_max((1.0, *[0.0] * (bands - 1)), [healthy[::-1], row[::-1]])[::-1]
        effects[element] = Effect(row, rng.choice([0, 0, 1, 2]))
    away = {element: rng.random() for element in effects if rng.random() < 0.8}
    combination = {"up": "largest", "down": "smallest", "both": "product_of_odds"}[push]
    return ObservationTable(healthy, effects, chances(rng, bands), away, combination)


@pytest.mark.parametrize("symptom", [True, False])
@pytest.mark.parametrize("largest", [0, 1, 2, 3])
def test_every_set_has_the_likelihood_of_its_own_distribution(largest: int, symptom: bool) -> None:
    for seed in SEEDS:
        rng = Random(seed)
        elements = [
            Element(f"fault {fault}", f"degree {degree}", 0.02)
            for fault in range(rng.randint(1, 6))
            for degree in range(rng.randint(1, 3))
        ]
        table = table_of(rng, len(elements))
        shares = chances(rng, len(table.healthy))
        if rng.random() < 0.5:
            shares = tuple(float(band == 1) for band in range(len(shares)))
        repaired = rng.sample(range(len(elements)), rng.randint(0, min(3, len(elements))))
        hidden = set(rng.sample(range(len(elements)), rng.randint(0, min(2, len(elements))))) - set(repaired)
        state = RepairState(frozenset(repaired), rng.random() < 0.5, frozenset(hidden))
        hypotheses = list_hypotheses(elements, largest=largest)
        wanted = []
        for members in hypotheses.members:
            row = (table.outcomes_of if symptom else table.outcomes_away)[state.left(members)]
            row = row if members else table.unlisted
            wanted.append(sum(share * chance for share, chance in zip(shares, row, strict=True)))
        shows = tuple(table.shows_when_symptom_absent.get(index, 1.0) for index in range(len(elements)))
        evidence = Evidence("reading", Observed(shares), table, float(symptom), state)
        crank = Crank((evidence,), float(symptom), shows, state)
        found = likelihood(hypotheses, crank)
        assert found == pytest.approx(wanted, rel=1e-9, abs=1e-12), f"network {seed}"
