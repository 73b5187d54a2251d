"""Chances of elements from the weights of sets."""

from __future__ import annotations

from itertools import combinations
from random import Random

import pytest

from crankpath.engine.bayes.hypotheses import Element, list_hypotheses
from crankpath.engine.bayes.posterior import posterior_from_weights

ELEMENTS = [Element(name, degree, 0.1) for name, degree in ("aA", "aB", "bA", "cA", "cB", "dA")]


@pytest.mark.parametrize("largest", [1, 2, 3])
def test_the_chances_of_a_few_elements_are_their_marginals(largest: int) -> None:
    hypotheses, drawn = list_hypotheses(ELEMENTS, 0.05, largest), Random(1)
    weights = [drawn.random() for _ in hypotheses.members]
    marginals = posterior_from_weights(hypotheses, weights, ()).marginals()
    for size in range(len(ELEMENTS) + 1):
        for some in combinations(range(len(ELEMENTS)), size):
            alone = posterior_from_weights(hypotheses, weights, ()).chances_of(some)
            assert alone == pytest.approx(sum(marginals[index] for index in some))
