"""Parts that come and go: good looks, shifted blame, runs of several parts.

Provenance of every figure: *published* (read in the source named), *from memory* (recalled,
the source not opened) or *computed* (exact enumeration by programs independent of this one).
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product

import pytest

from crankpath.engine.bayes.evidence import Evidence, Observed
from crankpath.engine.bayes.hypotheses import Element, Hypotheses, list_hypotheses
from crankpath.engine.bayes.posterior import Crank, posterior
from crankpath.engine.bayes.tables import Effect, ObservationTable

# -- intermittent faults -----------------------------------------------------------------
# de Kleer (2007), Abreu & van Gemund (2010), the formulas from memory: a broken part behaves
# well with chance g. Here it shows with chance 1 - g while the symptom is away.

GOOD, BAD = 0, 1


def look(parts: Mapping[int, float], reads: int, number: int = 0) -> Crank:
    """A run of some parts (element -> g) that went well or badly."""
    effects = {part: Effect((0.0, 1.0)) for part in parts}
    shows = {part: 1.0 - g for part, g in parts.items()}
    table = ObservationTable((1.0, 0.0), effects, (1.0, 0.0), shows)
    shares = (1.0, 0.0) if reads == GOOD else (0.0, 1.0)
    evidence = Evidence(f"run {number}", Observed(shares), table, symptom_probability=0.0)
    return Crank((evidence,), 0.0, tuple(shows.get(part, 1.0) for part in range(10)))


@pytest.mark.parametrize(
    ("g", "looks", "expected"),
    [
        (0.5, 1, 0.005025), (0.5, 5, 0.000316), (0.5, 10, 0.000010), (0.9, 1, 0.009009), (0.9, 5, 0.005929),
        (0.9, 10, 0.003510), (0.9, 20, 0.001227), (0.99, 20, 0.008194), (0.0, 1, 0.0),
    ],
)  # fmt: skip
def test_a_few_good_looks_clear_little_of_a_part_that_comes_and_goes(
    g: float, looks: int, expected: float
) -> None:
    """Prior .01; computed from p g^n / (p g^n + 1 - p)."""
    hypotheses = list_hypotheses([Element("part", "present", 0.01)])
    result = posterior(hypotheses, [look({0: g}, GOOD, n) for n in range(looks)])
    assert result.marginals()[0] == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize(
    ("g", "expected"),
    [(0.9, {1: 0.4737, 3: 0.4216, 5: 0.3713, 10: 0.2585, 20: 0.1084}),
     (0.5, {1: 0.3333, 3: 0.1111, 5: 0.0303, 10: 0.0010})],
)  # fmt: skip
def test_good_looks_at_one_of_two_suspects_shift_the_blame_slowly(
    g: float, expected: dict[int, float]
) -> None:
    """One of two equal suspects is surely guilty; computed."""
    suspects: Hypotheses = list_hypotheses(
        [Element("part", name, 0.25) for name in ("first", "second")], unlisted=0.0, largest=1
    )
    for looks, chance in expected.items():
        result = posterior(suspects, [look({0: g}, GOOD, n) for n in range(looks)])
        assert result.marginals()[0] == pytest.approx(chance, abs=1e-4)


@pytest.mark.parametrize(("g", "needed"), [(0.9, 29), (0.5, 5)])
def test_catching_a_part_that_comes_and_goes_takes_many_looks(g: float, needed: int) -> None:
    """Looks for a 95 % chance of seeing it bad once; computed."""
    good = look({0: g}, GOOD).factors[0].table.outcomes_away[0,][GOOD]
    assert good**needed <= 0.05 < good ** (needed - 1)


RUNS = (((1, 2), BAD), ((2, 3), BAD), ((1,), BAD), ((1, 3), GOOD))


def likelihood_of_runs(candidate: tuple[int, ...], g: Mapping[int, float]) -> float:
    result = 1.0
    for parts, reads in RUNS:
        table = look({part: g.get(part, 1.0) for part in parts}, reads).factors[0].table
        result *= table.outcomes_away[candidate][reads]
    return result


@pytest.mark.parametrize(
    ("candidate", "g", "expected"),
    [
        ((1, 2), {1: 0.47, 2: 0.19}, 0.18375),
        ((1, 3), {1: 0.41, 3: 0.50}, 0.03568),
        ((1, 2), {1: 0.5, 2: 0.0}, 0.25),
        ((1, 3), {1: 1 / 3, 3: 0.5}, 1 / 27),
    ],
)
def test_runs_of_several_parts_have_their_known_likelihood(
    candidate: tuple[int, ...], g: dict[int, float], expected: float
) -> None:
    """Abreu & van Gemund's example: runs from memory, likelihoods computed."""
    assert likelihood_of_runs(candidate, g) == pytest.approx(expected, abs=5e-6)


@pytest.mark.parametrize(("candidate", "most"), [((1, 2), 0.25), ((1, 3), 1 / 27)])
def test_no_other_goodness_makes_the_runs_likelier(candidate: tuple[int, int], most: float) -> None:
    """The maxima are computed: .25 and 1/27."""
    grid = [step / 30 for step in range(31)]
    a, b = candidate
    found = max(likelihood_of_runs(candidate, {a: x, b: y}) for x, y in product(grid, repeat=2))
    assert found == pytest.approx(most, abs=1e-9)
