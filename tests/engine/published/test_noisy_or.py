"""Noisy-OR and noisy-MAX, and three faults with two findings.

Provenance of every figure: *published* (read in the source named), *from memory* (recalled,
the source not opened) or *computed* (exact enumeration by programs independent of this one).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import product
from math import log, log10, prod
from random import Random

import pytest
from small_networks import bit, bits, conflict, decibans, noisy_or, odds, read

from crankpath.engine.bayes.hypotheses import Element, list_hypotheses
from crankpath.engine.bayes.posterior import Crank, Posterior, posterior
from crankpath.engine.bayes.tables import Effect, ObservationTable

# -- noisy-OR and noisy-MAX ------------------------------------------------------------


@pytest.mark.parametrize(
    ("causes", "no_fever"),
    [
        ((), 1.0), ((2,), 0.1), ((1,), 0.2), ((1, 2), 0.02),
        ((0,), 0.6), ((0, 2), 0.06), ((0, 1), 0.12), ((0, 1, 2), 0.012),
    ],
)  # fmt: skip
def test_the_fever_table_of_noisy_or_is_as_published(causes: tuple[int, ...], no_fever: float) -> None:
    """Russell & Norvig: cold .6, flu .2, malaria .1 inhibited, no leak (published, in lecture slides)."""
    fever = noisy_or(0.0, {0: 0.4, 1: 0.8, 2: 0.9})
    assert fever.row_of(causes)[0] == pytest.approx(no_fever, abs=1e-12)


def test_a_chain_of_noisy_ors_with_a_coin_for_every_parent_is_as_published() -> None:
    """Published in a comparison of three probabilistic languages: P(node 3 on) = .81441875.

    Edges 0-1, 0-2, 4-2, 1-3, 2-3, 4-3; nodes 0 and 4 on by a fair coin; every other node
    takes the OR of one coin for each parent, .8 if that is on and .1 if it is off.
    """

    def node(parents: Sequence[int]) -> ObservationTable:
        off = 0.9 ** len(parents)  # nobody's coin falls, all parents off
        with_one = 0.2 * 0.9 ** (len(parents) - 1)
        effects = {parent: Effect(bit(1.0 - with_one)) for parent in parents}
        return ObservationTable(bit(1.0 - off), effects, bit(1.0 - off))

    tables = {1: node([0]), 2: node([0, 4]), 3: node([1, 2, 4])}
    total = 0.0
    for zero, one, two, four in product((0, 1), repeat=4):
        on = {node for node, value in enumerate((zero, one, two, 0, four)) if value}
        chance = 0.25
        for place, value in ((1, one), (2, two)):
            chance *= tables[place].row_of(sorted(on))[value]
        total += chance * tables[3].row_of(sorted(on))[1]
    assert total == pytest.approx(0.81441875, abs=1e-12)


def test_the_two_ways_to_state_a_strength_give_their_two_known_tables() -> None:
    """Leak .1, A .8, B .5 (computed with two libraries): without the background, and with it."""
    without = noisy_or(0.1, {0: 0.8, 1: 0.5})
    sets: list[tuple[int, ...]] = [(), (1,), (0,), (0, 1)]
    assert [without.row_of(s)[1] for s in sets] == pytest.approx([0.1, 0.55, 0.82, 0.91])
    compound = ObservationTable(bit(0.1), {0: Effect(bit(0.8)), 1: Effect(bit(0.5))}, bit(0.1))
    assert [compound.row_of(s)[1] for s in sets] == pytest.approx([0.1, 0.5, 0.8, 0.888889], abs=1e-6)


# -- three faults, two findings: computed, three independent programs agree --------------

FAULTS = ("F1", "F2", "F3")
TWO_LAYERS = list_hypotheses(
    [Element(fault, "present", chance) for fault, chance in zip(FAULTS, (0.10, 0.05, 0.02), strict=True)],
    largest=3,
)
FINDINGS = {"S1": noisy_or(0.01, {0: 0.8, 1: 0.6}), "S2": noisy_or(0.02, {1: 0.7, 2: 0.9})} | {
    fault: noisy_or(0.0, {place: 1.0}) for place, fault in enumerate(FAULTS)
}


def findings(**seen: int) -> list[Crank]:
    return [read(name, FINDINGS[name], band) for name, band in seen.items()]


def two_layers(**seen: int) -> Posterior:
    return posterior(TWO_LAYERS, findings(**seen))


@pytest.mark.parametrize(
    ("seen", "chance", "faults"),
    [
        ({"S1": 1}, 0.116524, (0.6933678899, 0.2727678418, 0.02)),
        ({"S1": 1, "S2": 0}, 0.0907266815, (0.8228166050, 0.1011421880, 0.0020366599)),
        ({"S1": 1, "S2": 1}, 0.025797318528, (0.2381092423, 0.8763587155, 0.0831753349)),
        ({"S1": 0, "S2": 1}, 0.0455252815, (0.0217391304, 0.2846087856, 0.3506381262)),
    ],
)
def test_two_layers_have_their_known_chances(
    seen: dict[str, int], chance: float, faults: tuple[float, ...]
) -> None:
    result = two_layers(**seen)
    assert result.evidence_chance == pytest.approx(chance, abs=1e-9)
    assert result.marginals() == pytest.approx(faults, abs=1e-9)
    assert result.bound == 0.0


@pytest.mark.parametrize(
    ("seen", "about", "expected"),
    [
        ({}, ("F2", "F3"), 0.1873599102),
        ({}, ("F2",), 0.1076909732),
        ({}, ("F3",), 0.0635074371),
        ({}, ("F1",), 0.0),
        ({"S1": 1}, ("F2", "F3"), 0.4205366573),
        ({"S1": 1}, ("F2",), 0.3579401185),
        ({"S1": 1}, ("F3",), 0.0334849517),
        ({"S1": 1}, ("F1",), 0.1892457552),
        ({"S1": 1, "F1": 0}, ("F2", "F3"), 0.3030191289),
        ({"S1": 1, "F1": 0}, ("F2",), 0.2778169572),
        ({"S1": 1, "F1": 0}, ("F3",), 0.0123380152),
    ],
)
def test_two_layers_have_their_known_bits(
    seen: dict[str, int], about: tuple[str, ...], expected: float
) -> None:
    keys = [frozenset(FAULTS[m] for m in members) & frozenset(about) for members in TWO_LAYERS.members]
    assert bits(two_layers(**seen), FINDINGS["S2"], keys) == pytest.approx(expected, abs=1e-9)


def test_two_layers_have_their_known_decibans() -> None:
    prior, first, both = (two_layers(**s).marginals() for s in ({}, {"S1": 1}, {"S1": 1, "S2": 1}))
    assert [10 * log10(odds(p)) for p in prior] == pytest.approx([-9.542, -12.788, -16.902], abs=1e-3)
    assert [decibans(a, b) for a, b in zip(prior, first, strict=True)] == pytest.approx(
        [13.086, 8.529, 0.0], abs=1e-3
    )
    assert [decibans(a, b) for a, b in zip(first, both, strict=True)] == pytest.approx(
        [-8.595, 12.764, 6.479], abs=1e-3
    )


@pytest.mark.parametrize(
    ("seen", "nats"),
    [
        ({"S1": 1, "S2": 1}, -1.132715),
        ({"S1": 1, "S2": 0}, 0.176252),
        ({"S1": 0, "S2": 1}, 0.325054),
        ({"S1": 0, "S2": 1, "F3": 1}, -2.538968),
        ({"S1": 0, "S2": 1, "F2": 1}, -1.414038),
    ],
)
def test_two_layers_have_their_known_conflicts(seen: dict[str, int], nats: float) -> None:
    assert conflict(TWO_LAYERS, findings(**seen)) * log(2.0) == pytest.approx(nats, abs=1e-6)


def test_one_reading_alone_is_in_conflict_with_nothing() -> None:
    assert conflict(TWO_LAYERS, findings(S1=1)) == 0.0
    assert conflict(TWO_LAYERS, []) == 0.0


def test_many_abnormal_readings_that_hardly_share_a_cause_cost_no_precision() -> None:
    """Heckerman's (1989) alternating sum is off by 1e-3 and more with ten of them (computed); terms
    that are never negative keep all digits. Checked against exact fractions."""
    rng = Random(10)
    priors = [rng.uniform(0.005, 0.05) for _ in range(10)]
    tables = []
    for place in range(10):
        causes = {place: rng.uniform(0.5, 0.95)} | {rng.randrange(10): rng.uniform(0.1, 0.4)}
        tables.append(noisy_or(rng.uniform(0.001, 0.01), causes))
    hypotheses = list_hypotheses([Element(str(n), "present", p) for n, p in enumerate(priors)], largest=10)
    result = posterior(hypotheses, [read(str(n), table, 1) for n, table in enumerate(tables)])
    whole, having = Fraction(0), [Fraction(0)] * 10
    for members in hypotheses.members:
        joint = prod(Fraction(p) if n in members else 1 - Fraction(p) for n, p in enumerate(priors))
        joint *= prod(1 - exact_off(table, members) for table in tables)
        whole += joint
        for member in members:
            having[member] += joint
    assert result.evidence_chance == pytest.approx(float(whole), rel=1e-11)
    assert result.marginals() == pytest.approx([float(part / whole) for part in having], rel=1e-11)


def exact_off(table: ObservationTable, members: Iterable[int]) -> Fraction:
    healthy = Fraction(table.healthy[0])
    ratios = (Fraction(table.effects[m].row[0]) / healthy for m in members if m in table.effects)
    return healthy * prod(ratios, start=Fraction(1))
