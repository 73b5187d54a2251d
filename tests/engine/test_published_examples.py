"""Worked examples from the literature and from exact enumeration, each with its source.

Provenance of every figure: *published* (read in the source named), *from memory* (recalled,
the source not opened) or *computed* (exact enumeration by programs independent of this one).

Where an example has dependent causes, its joint states are entered as the degrees of one
fault: degrees exclude each other, so any distribution can be stated that way.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import permutations, product
from math import log, log10, prod
from random import Random

import numpy as np
import pytest

from crankpath.engine.advice.value_of_information import (
    Answer,
    Costs,
    entropy,
    expected_minutes,
    information,
    repair_order,
)
from crankpath.engine.bayes.evidence import Evidence, Observed
from crankpath.engine.bayes.hypotheses import Element, Hypotheses, list_hypotheses
from crankpath.engine.bayes.posterior import Crank, Posterior, posterior
from crankpath.engine.bayes.tables import Chances, Effect, ObservationTable
from crankpath.engine.inference.conflict import conflict_bits

State = tuple[int, ...]


class Net:
    """A small network given by its joint states; the first is the one without any fault."""

    def __init__(self, prior: Mapping[State, float], **readings: Callable[[State], Chances]) -> None:
        self.states = tuple(prior)
        elements = [Element("state", str(state), prior[state]) for state in self.states[1:]]
        self.hypotheses = list_hypotheses(elements, largest=1)
        self.tables = {name: self._table(row) for name, row in readings.items()}

    def _table(self, row: Callable[[State], Chances]) -> ObservationTable:
        effects = {index: Effect(row(state)) for index, state in enumerate(self.states[1:])}
        return ObservationTable(row(self.states[0]), effects, row(self.states[0]))

    def evidence(self, **seen: int) -> list[Crank]:
        return [read(name, self.tables[name], band) for name, band in seen.items()]

    def given(self, **seen: int) -> Posterior:
        return posterior(self.hypotheses, self.evidence(**seen))

    def chance(self, holds: Callable[[State], bool], **seen: int) -> float:
        weights = self.given(**seen).weights
        return sum(weight for state, weight in zip(self.states, weights, strict=True) if holds(state))

    def bits(self, name: str, about: Callable[[State], Hashable], **seen: int) -> float:
        keys = [frozenset([str(about(state))]) for state in self.states]
        return bits(self.given(**seen), self.tables[name], keys)

    def nats_of_conflict(self, **seen: int) -> float:
        return conflict(self.hypotheses, self.evidence(**seen)) * log(2.0)


ALWAYS = (1.0,) * 200
"""Every fault shows, whatever the symptom does."""


def read(name: str, table: ObservationTable, band: int) -> Crank:
    shares = tuple(float(other == band) for other in range(len(table.healthy)))
    return Crank((Evidence(name, Observed(shares), table),), 1.0, ALWAYS)


def conflict(hypotheses: Hypotheses, evidence: Sequence[Crank]) -> float:
    alone = [posterior(hypotheses, [piece]).evidence_chance for piece in evidence]
    return conflict_bits(alone, posterior(hypotheses, evidence).evidence_chance)


def bits(result: Posterior, table: ObservationTable, keys: Sequence[Answer]) -> float:
    """Mutual information between what the keys tell apart and a reading not yet taken."""
    joint: dict[Answer, list[float]] = {}
    for key, members, weight in zip(keys, result.hypotheses.members, result.weights, strict=True):
        row = [weight * chance for chance in table.row_of(members)]
        joint[key] = [a + b for a, b in zip(joint.get(key, [0.0] * len(row)), row, strict=True)]
    return information(joint)


def odds(chance: float) -> float:
    return chance / (1.0 - chance)


def decibans(before: float, after: float) -> float:
    """Good's (1950) weight of evidence, from the chances before and after."""
    return 10.0 * log10(odds(after) / odds(before))


def one_of(*chances: float) -> Callable[[int], float]:
    """Chance of a yes/no variable by the state of its parent."""
    return lambda parent: chances[parent]


def bit(chance: float) -> Chances:
    """Bands (no, yes)."""
    return (1.0 - chance, chance)


# -- Bishop, Pattern Recognition and Machine Learning (2006), section 8.2.1, page 377 ----

READS_EMPTY = {(0, 0): 0.2, (0, 1): 0.8, (1, 0): 0.8, (1, 1): 0.9}  # by (battery dead, tank empty)
GAUGE = Net(
    {(b, f): (0.1 if b else 0.9) * (0.1 if f else 0.9) for b, f in product((0, 1), repeat=2)},
    gauge=lambda state: bit(READS_EMPTY[state]),
    battery=lambda state: bit(float(state[0])),
)


def battery_dead(state: State) -> bool:
    return state[0] == 1


def tank_empty(state: State) -> bool:
    return state[1] == 1


def test_a_dead_battery_explains_the_empty_gauge_away() -> None:
    assert GAUGE.given(gauge=1).evidence_chance == pytest.approx(0.315, abs=1e-9)  # published
    assert GAUGE.chance(tank_empty, gauge=1) == pytest.approx(0.257, abs=5e-4)  # published
    assert GAUGE.chance(tank_empty, gauge=1) == pytest.approx(0.2571428571, abs=1e-9)  # computed
    assert GAUGE.chance(battery_dead, gauge=1) == pytest.approx(0.2571428571, abs=1e-9)  # computed
    # from memory 0.111, computed 1/9
    assert GAUGE.chance(tank_empty, gauge=1, battery=1) == pytest.approx(1.0 / 9.0, abs=1e-9)


def test_an_empty_tank_makes_the_gauge_read_empty_as_printed() -> None:
    joint = GAUGE.given(gauge=1).evidence_chance * GAUGE.chance(tank_empty, gauge=1)
    assert joint / GAUGE.chance(tank_empty) == pytest.approx(0.81)  # published


def test_the_gauge_speaks_for_an_empty_tank_and_the_battery_against_it() -> None:
    prior, seen = GAUGE.chance(tank_empty), GAUGE.chance(tank_empty, gauge=1)
    both = GAUGE.chance(tank_empty, gauge=1, battery=1)
    assert 10.0 * log10(odds(prior)) == pytest.approx(-9.5424, abs=1e-4)  # computed, as the next three
    assert decibans(prior, seen) == pytest.approx(4.9351, abs=1e-4)
    assert decibans(seen, both) == pytest.approx(-4.4236, abs=1e-4)
    assert 10.0 * log10(odds(both)) == pytest.approx(-9.0309, abs=1e-4)


def test_the_battery_tells_of_the_tank_only_once_the_gauge_is_read() -> None:
    assert GAUGE.bits("gauge", tank_empty) == pytest.approx(0.0846421558, abs=1e-9)  # computed
    assert GAUGE.bits("battery", tank_empty) == pytest.approx(0.0, abs=1e-12)
    assert GAUGE.bits("battery", tank_empty, gauge=1) == pytest.approx(0.0314868643, abs=1e-9)  # computed


def test_an_explained_gauge_is_no_conflict() -> None:
    assert GAUGE.nats_of_conflict(gauge=1, battery=1) == pytest.approx(-0.944462, abs=1e-6)  # computed


# -- Lauritzen & Spiegelhalter (1988), JRSS B 50: chances of the causes published, results computed

TUB, LUNG, BRONC = one_of(0.01, 0.05), one_of(0.01, 0.1), one_of(0.3, 0.6)
DYSPNOEA = {(1, 1): 0.9, (0, 1): 0.7, (1, 0): 0.8, (0, 0): 0.1}  # by (bronchitis, either)


def chest_prior(state: State) -> float:
    asia, smoke, tub, lung, bronc = state
    chances = ((asia, 0.01), (smoke, 0.5), (tub, TUB(asia)), (lung, LUNG(smoke)), (bronc, BRONC(smoke)))
    return prod(chance if yes else 1.0 - chance for yes, chance in chances)


def either(state: State) -> bool:
    return bool(state[2] or state[3])


CHEST = Net(
    {state: chest_prior(state) for state in product((0, 1), repeat=5)},
    asia=lambda state: bit(float(state[0])),
    smoke=lambda state: bit(float(state[1])),
    xray=lambda state: bit(0.98 if either(state) else 0.05),
    dysp=lambda state: bit(DYSPNOEA[state[4], int(either(state))]),
)


@pytest.mark.parametrize(
    ("seen", "chance", "tub", "lung", "bronc", "either_of"),
    [
        ({}, 1.0, 0.0104, 0.055, 0.45, 0.064828),
        ({"dysp": 1}, 0.435970600, 0.018845, 0.102759, 0.833967, 0.120536),
        # these four from memory too: .004501375, .0878, .0995, .8114
        ({"asia": 1, "dysp": 1}, 0.004501375, 0.087751, 0.099525, 0.811402, 0.182300),
        ({"asia": 1, "dysp": 1, "smoke": 0}, 0.001683875, 0.112835, 0.022567, 0.717942, 0.134274),
        ({"asia": 1, "dysp": 1, "xray": 1}, 0.000988227, 0.391712, 0.444271, 0.628822, 0.813769),
        ({"asia": 1, "dysp": 1, "xray": 1, "smoke": 0}, 0.000294467, 0.632329, 0.126466, 0.45896, 0.752472),
        ({"dysp": 1, "xray": 0}, 0.365300496, 0.000450, 0.002453, 0.863392, 0.002877),
    ],
)
def test_the_chest_clinic_has_its_known_chances(
    seen: dict[str, int], chance: float, tub: float, lung: float, bronc: float, either_of: float
) -> None:
    assert CHEST.given(**seen).evidence_chance == pytest.approx(chance, abs=1e-9)
    found = [CHEST.chance(lambda state, p=place: state[p] == 1, **seen) for place in (2, 3, 4)]
    assert found == pytest.approx([tub, lung, bronc], abs=1e-6)
    assert CHEST.chance(either, **seen) == pytest.approx(either_of, abs=1e-6)


def test_the_chest_clinic_has_its_bits_and_conflicts() -> None:
    """Computed; conflict in natural logarithms."""
    known = {"xray": 0.301746, "smoke": 0.034277, "asia": 0.000001}
    for name, expected in known.items():
        assert CHEST.bits(name, lambda state: state[3], dysp=1) == pytest.approx(expected, abs=1e-6)
    assert CHEST.nats_of_conflict(dysp=1, xray=0) == pytest.approx(0.059995, abs=1e-6)
    assert CHEST.nats_of_conflict(dysp=1, xray=1) == pytest.approx(-0.385089, abs=1e-6)


# -- Jensen (2001), Jensen & Nielsen (2007): the reduced car start problem ---------------
# Structure published; chances of the causes from memory; results computed.

NO_START = {(0, 0): 0.01, (0, 1): 0.99, (1, 0): 1.0, (1, 1): 1.0}  # by (no fuel, dirty plugs)
FULL, HALF, EMPTY = 0, 1, 2
CAR = Net(
    {(fuel, plugs): (0.02 if fuel else 0.98) * (0.04 if plugs else 0.96) for fuel, plugs in NO_START},
    no_start=lambda state: bit(NO_START[state]),
    meter=lambda state: (0.001, 0.001, 0.998) if state[0] else (0.39, 0.60, 0.01),
    plugs=lambda state: bit(float(state[1])),
    fuel=lambda state: bit(float(state[0])),
)


@pytest.mark.parametrize(
    ("meter", "no_fuel", "dirty_plugs"),
    [
        (None, 0.293186, 0.580626),  # the book's rounded .29 and .58, from memory
        (HALF, 0.000691, 0.804350),  # the book's rounded .001 and .804, from memory
        (EMPTY, 0.976413, 0.058041),
        (FULL, 0.001062, 0.804065),
    ],
)
def test_a_car_that_does_not_start_has_its_known_causes(
    meter: int | None, no_fuel: float, dirty_plugs: float
) -> None:
    seen = {"no_start": 1} if meter is None else {"no_start": 1, "meter": meter}
    assert CAR.chance(lambda state: state[0] == 1, **seen) == pytest.approx(no_fuel, abs=1e-6)
    assert CAR.chance(lambda state: state[1] == 1, **seen) == pytest.approx(dirty_plugs, abs=1e-6)


def test_the_fuel_meter_tells_of_the_plugs_only_when_the_car_does_not_start() -> None:
    assert CAR.given(no_start=1).evidence_chance == pytest.approx(0.068216, abs=1e-6)
    assert CAR.bits("meter", lambda state: state[1]) == pytest.approx(0.0, abs=1e-12)
    assert CAR.bits("meter", lambda state: state[1], no_start=1) == pytest.approx(0.385785, abs=1e-6)
    assert CAR.bits("meter", lambda state: state[0], no_start=1) == pytest.approx(0.817696, abs=1e-6)


@pytest.mark.parametrize(
    ("seen", "nats"),
    [
        ({"no_start": 1, "meter": HALF}, 0.326128),
        ({"no_start": 1, "meter": HALF, "plugs": 1}, -2.675026),  # a rare case that explains it
        ({"no_start": 1, "meter": HALF, "fuel": 1}, 3.691684),  # one that does not
        ({"no_start": 1, "meter": FULL}, 0.325775),
        ({"no_start": 1, "meter": EMPTY}, -2.309510),
    ],
)
def test_conflict_is_positive_until_something_explains_the_readings(
    seen: dict[str, int], nats: float
) -> None:
    """Jensen, Chamberlain, Nordahl & Jensen (1990): the definition; the numbers computed."""
    assert CAR.nats_of_conflict(**seen) == pytest.approx(nats, abs=1e-6)


# -- a five-node start net of the mid-nineties: chances from memory, results computed ----

NO_TURN = {0: 0.03, 1: 0.98}  # by battery bad
GAUGE_EMPTY = {(0, 0): 0.04, (0, 1): 0.97, (1, 0): 0.10, (1, 1): 0.99}  # by (battery bad, tank empty)


def start_prior(state: State) -> float:
    battery, tank, silent = state
    chances = ((battery, 0.02), (tank, 0.05), (silent, NO_TURN[battery]))
    return prod(chance if yes else 1.0 - chance for yes, chance in chances)


START = Net(
    {state: start_prior(state) for state in product((0, 1), repeat=3)},
    no_start=lambda state: bit(1.0 if state[2] else (0.92 if state[1] else 0.01)),
    gauge_empty=lambda state: bit(GAUGE_EMPTY[state[0], state[1]]),
    silent=lambda state: bit(float(state[2])),
)


@pytest.mark.parametrize(
    ("seen", "battery", "tank"),
    [
        ({}, 0.192789, 0.453879),
        ({"gauge_empty": 1}, 0.059181, 0.930647),
        ({"silent": 1}, 0.400000, 0.050000),
        ({"silent": 0}, 0.000421, 0.828829),
        ({"silent": 0, "gauge_empty": 0}, 0.000361, 0.131400),
    ],
)
def test_an_engine_that_does_not_start_has_its_known_causes(
    seen: dict[str, int], battery: float, tank: float
) -> None:
    assert START.given(no_start=1).evidence_chance == pytest.approx(0.1017805, abs=1e-7)
    assert START.chance(lambda state: state[0] == 1, no_start=1, **seen) == pytest.approx(battery, abs=1e-6)
    assert START.chance(lambda state: state[1] == 1, no_start=1, **seen) == pytest.approx(tank, abs=1e-6)


# -- noisy-OR and noisy-MAX ------------------------------------------------------------


def noisy_or(leak: float, strengths: Mapping[int, float]) -> ObservationTable:
    """Strengths are without the background, as most books state them; rules are with it."""
    effects = {
        cause: Effect(((1 - leak) * (1 - w), 1 - (1 - leak) * (1 - w))) for cause, w in strengths.items()
    }
    return ObservationTable((1.0 - leak, leak), effects, (1.0 - leak, leak))


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


# -- probability over cost ---------------------------------------------------------------

PARTS = {"A": (0.30, 12.0), "B": (0.25, 4.0), "C": (0.20, 10.0), "D": (0.15, 1.0), "E": (0.10, 5.0)}
NO_HELP = 1e6


def minutes_of_order(order: Iterable[str], parts: Mapping[str, tuple[float, float]]) -> float:
    """Heckerman, Breese & Rommelse (1995): each suspect costs its minutes unless found before it."""
    left, total = 1.0, 0.0
    for name in order:
        total += left * parts[name][1]
        left -= parts[name][0]
    return total


def minutes_by_engine(parts: Mapping[str, tuple[float, float]]) -> float:
    """Wasted minutes, and those of the part that was needed: the same sum, split otherwise."""
    weights: dict[Answer, float] = {frozenset(name): chance for name, (chance, _) in parts.items()}
    costs = Costs({name: minutes for name, (_, minutes) in parts.items()}, NO_HELP)
    return expected_minutes(weights, costs) + sum(chance * minutes for chance, minutes in parts.values())


def test_five_parts_are_tried_in_the_order_with_the_least_expected_minutes() -> None:
    """Kadane & Simon (1977), the theorem published; numbers computed: D, B, A, C, E, 15.10 minutes."""
    weights: dict[Answer, float] = {frozenset(name): chance for name, (chance, _) in PARTS.items()}
    costs = Costs({name: minutes for name, (_, minutes) in PARTS.items()}, NO_HELP)
    assert repair_order(weights, costs) == ("D", "B", "A", "C", "E")
    assert minutes_by_engine(PARTS) == pytest.approx(15.10, abs=1e-9)
    assert min(minutes_of_order(order, PARTS) for order in permutations(PARTS)) == pytest.approx(
        15.10, abs=1e-9
    )


def test_no_order_of_random_parts_beats_probability_over_cost() -> None:
    """Kadane & Simon's theorem, where every suspect must be confirmed."""
    for seed in range(200):
        rng = Random(seed)
        chances = [rng.random() for _ in range(rng.randint(2, 5))]
        parts = {str(n): (chance / sum(chances), rng.uniform(1, 30)) for n, chance in enumerate(chances)}
        least = min(minutes_of_order(order, parts) for order in permutations(parts))
        assert minutes_by_engine(parts) == pytest.approx(least), f"problem {seed}"


def test_a_question_is_worth_the_minutes_it_saves() -> None:
    """Computed: 14.90 minutes without the question, 11.21 and its cost with it, so 3.69 at most."""
    parts = {"A": (0.5, 10.0), "B": (0.3, 8.0), "C": (0.2, 5.0)}
    yes = {"A": 0.9, "B": 0.2, "C": 0.1}
    costs = Costs({name: minutes for name, (_, minutes) in parts.items()}, NO_HELP)
    answers: list[dict[Answer, float]] = [
        {frozenset(n): parts[n][0] * (yes[n] if said else 1.0 - yes[n]) for n in parts}
        for said in (True, False)
    ]
    assert minutes_by_engine(parts) == pytest.approx(14.90, abs=1e-9)
    assert repair_order(answers[0], costs) == ("A", "B", "C")
    assert repair_order(answers[1], costs) == ("C", "B", "A")
    needed = sum(chance * minutes for chance, minutes in parts.values())
    asked = sum(expected_minutes(answer, costs) for answer in answers)
    assert asked + needed == pytest.approx(11.21, abs=1e-9)
    assert minutes_by_engine(parts) - asked - needed == pytest.approx(3.69, abs=1e-9)


# -- information: where to measure -------------------------------------------------------


def entropy_after_opening(chances: Sequence[float], after: int) -> float:
    """Bits left when a chain of parts, one of them bad, is probed behind some of them."""
    joint = {frozenset([str(n)]): ([p, 0.0] if n < after else [0.0, p]) for n, p in enumerate(chances)}
    return entropy(chances) - information(joint)


@pytest.mark.parametrize(
    ("chances", "expected"),
    [
        ([1 / 4] * 4, [1.1887, 1.0, 1.1887]),
        ([1 / 5] * 5, [1.6, 1.351, 1.351, 1.6]),
        ([1 / 7] * 7, [2.2157, 1.9442, 1.8221]),
        ([1 / 8] * 8, [2.4564, 2.1887, 2.0456, 2.0]),
        ([0.4, 0.1, 0.1, 0.1, 0.3], [1.0755, 1.0464, 1.0755, 1.1651]),
    ],
)
def test_a_chain_is_best_opened_in_its_likely_middle(chances: list[float], expected: list[float]) -> None:
    """Half-split: the method from memory, the bits computed."""
    found = [entropy_after_opening(chances, after) for after in range(1, len(expected) + 1)]
    assert found == pytest.approx(expected, abs=1e-4)


TREE_STATES = (0.70, 0.01, 0.02, 0.10, 0.17)
TREE_ROWS = ("00000", "01001", "00110", "10011", "11110")  # states by five yes/no tests


def greedy_tests(states: tuple[int, ...]) -> float:
    """Expected number of tests (weighted by chance) when the most telling one is taken each time."""
    if len(states) == 1:
        return 0.0

    def split(test: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
        no = tuple(state for state in states if TREE_ROWS[state][test] == "0")
        return no, tuple(state for state in states if state not in no)

    def told(test: int) -> float:
        no, _ = split(test)
        return information(
            {
                frozenset([str(s)]): [TREE_STATES[s] * (s in no), TREE_STATES[s] * (s not in no)]
                for s in states
            }
        )

    best = max(range(5), key=told)
    return sum(TREE_STATES[state] for state in states) + sum(map(greedy_tests, split(best)))


def test_five_states_and_five_tests_have_their_known_greedy_tree() -> None:
    """Computed: entropy 1.3063 bits, greedy 2.12 tests (the optimum is 2.11)."""
    assert entropy(TREE_STATES) == pytest.approx(1.3063, abs=1e-4)
    assert greedy_tests((0, 1, 2, 3, 4)) == pytest.approx(2.12, abs=1e-9)


# -- de Kleer & Williams (1987): three multipliers, two adders ---------------------------
# Structure from memory, numbers computed. X = A*C, Y = B*D, Z = C*E are 6 when healthy;
# F = X + Y and G = Y + Z. Seen: F = 10, G = 12. A broken part may give one of m readings.

BOX_PARTS = ("M1", "M2", "M3", "A1", "A2")
LAWS = (
    ((1, 0, 0, 0, 0), 6), ((0, 1, 0, 0, 0), 6), ((0, 0, 1, 0, 0), 6),
    ((1, 1, 0, -1, 0), 0), ((0, 1, 1, 0, -1), 0),
)  # fmt: skip
Law = tuple[tuple[int, ...], int]
X, Y, Z, F, G = range(5)


def is_exactly(variable: int, value: int) -> Law:
    return tuple(int(other == variable) for other in range(5)), value


def predicted(laws: Sequence[Law], variable: int) -> int | None:
    """The value that the laws of the sound parts (and what was seen) force, or None."""
    if not laws:
        return None
    rows, values = np.array([row for row, _ in laws], float), np.array([value for _, value in laws], float)
    wanted = np.array(is_exactly(variable, 0)[0], float)
    if np.linalg.matrix_rank(np.vstack([rows, wanted])) > np.linalg.matrix_rank(rows):
        return None
    return round(float(np.linalg.lstsq(rows, values, rcond=None)[0][variable]))


def sound(state: State) -> list[Law]:
    return [law for law, broken in zip(LAWS, state, strict=True) if not broken]


def chance_of_box(state: State, readings: int) -> float:
    """The rule of de Kleer & Williams: 0 if contradicted, kept if predicted, else one in m."""
    laws, chance = sound(state), 1.0
    for variable, value in ((F, 10), (G, 12)):
        known = predicted(laws, variable)
        chance *= 1.0 / readings if known is None else float(known == value)
        laws.append(is_exactly(variable, value))
    return chance


def probe(variable: int, readings: int) -> Callable[[State], Chances]:
    """Bands: every value that some diagnosis predicts, and all others together."""
    box = {
        state: [*sound(state), is_exactly(F, 10), is_exactly(G, 12)] for state in product((0, 1), repeat=5)
    }
    possible = {s: predicted(laws, variable) for s, laws in box.items() if chance_of_box(s, readings)}
    values = sorted({value for value in possible.values() if value is not None})

    def row(state: State) -> Chances:
        known = possible.get(state)
        if known is None:
            each = 1.0 / readings
            return (*(each for _ in values), max(0.0, 1.0 - each * len(values)))
        return (*(float(value == known) for value in values), 0.0)

    return row


def box_net(readings: int) -> Net:
    prior = {s: prod(0.01 if broken else 0.99 for broken in s) for s in product((0, 1), repeat=5)}
    return Net(
        prior,
        seen=lambda state: bit(chance_of_box(state, readings)),
        x=probe(X, readings),
        y=probe(Y, readings),
        z=probe(Z, readings),
    )


@pytest.mark.parametrize(
    ("readings", "single", "now", "after"),
    [
        (2, 0.48756, 1.2229, (0.2279, 1.1775, 1.1976)),
        (10, 0.49547, 1.0870, (0.0578, 1.0752, 1.0804)),
        (16, 0.49622, 1.0714, (0.0383, 1.0635, 1.0670)),
        (1000, 0.49747, 1.0413, (0.0009, 1.0411, 1.0412)),
    ],
)
def test_the_best_probe_of_multipliers_and_adders_is_between_the_two_suspects(
    readings: int, single: float, now: float, after: tuple[float, float, float]
) -> None:
    net = box_net(readings)
    for alone in ((1, 0, 0, 0, 0), (0, 0, 0, 1, 0)):  # M1; A1
        assert net.chance(lambda state, a=alone: state == a, seen=1) == pytest.approx(single, abs=1e-5)
    bits_now = entropy(net.given(seen=1).weights)
    left = [bits_now - net.bits(name, lambda state: state, seen=1) for name in ("x", "y", "z")]
    assert bits_now == pytest.approx(now, abs=1e-4)
    assert left == pytest.approx(after, abs=1e-4)
    assert left[0] < left[1] < left[2]


def within(some: State, more: State) -> bool:
    """A smaller set of broken parts, all of them broken in the other too."""
    return some != more and all(a <= b for a, b in zip(some, more, strict=True))


def test_multipliers_and_adders_have_their_known_suspects() -> None:
    net = box_net(16)
    found = [net.chance(lambda state, p=place: state[p] == 1, seen=1) for place in range(5)]
    assert found == pytest.approx([0.50220, 0.00127, 0.00096, 0.50220, 0.00096], abs=1e-5)
    explaining = {state for state in net.states if net.chance(lambda s, t=state: s == t, seen=1) > 0.0}
    minimal = {state for state in explaining if not any(within(other, state) for other in explaining)}
    names = {frozenset(BOX_PARTS[place] for place in range(5) if state[place]) for state in minimal}
    assert names == {frozenset(s) for s in ({"A1"}, {"M1"}, {"A2", "M2"}, {"M2", "M3"})}  # from memory
    for value, alone, chance in (
        (1, (0, 0, 0, 1, 0), 0.99620),
        (0, (1, 0, 0, 0, 0), 0.99747),
    ):  # X = 6, X = 4
        assert net.chance(lambda s, a=alone: s == a, seen=1, x=value) == pytest.approx(chance, abs=1e-5)


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
