"""Three multipliers and two adders (de Kleer & Williams 1987).

Provenance of every figure: *published* (read in the source named), *from memory* (recalled,
the source not opened) or *computed* (exact enumeration by programs independent of this one).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from math import prod

import numpy as np
import pytest
from small_networks import Net, State, bit

from crankpath.engine.advice.value_of_information import (
    entropy,
)
from crankpath.engine.bayes.tables import Chances

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
