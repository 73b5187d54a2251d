"""Chances, bits and conflicts of small networks of the literature.

Provenance of every figure: *published* (read in the source named), *from memory* (recalled,
the source not opened) or *computed* (exact enumeration by programs independent of this one).
"""

from __future__ import annotations

from itertools import product
from math import log10, prod

import pytest
from small_networks import Net, State, bit, decibans, odds, one_of

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
