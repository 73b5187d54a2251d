"""The network solver against an independent one."""

import math
import random

import numpy as np
import pytest

from crankpath.engine.physics.tables import PhysicsError
from crankpath.engine.solved.network import Branch, resistance_between, solve


def _by_matrix(branches: list[Branch], ground: str) -> dict[str, float]:
    """Nodal analysis with a conductance matrix and numpy's solver (LAPACK gesv)."""
    nodes = sorted({n for b in branches for n in (b.a, b.b)} - {ground})
    at = {n: i for i, n in enumerate(nodes)}
    matrix, right = np.zeros((len(nodes), len(nodes))), np.zeros(len(nodes))
    for b in branches:
        for node, other, sign in ((b.a, b.b, -1), (b.b, b.a, 1)):
            if node == ground:
                continue
            matrix[at[node], at[node]] += 1 / b.ohms
            right[at[node]] += sign * b.emf / b.ohms
            if other != ground:
                matrix[at[node], at[other]] -= 1 / b.ohms
    return dict(zip(nodes, np.linalg.solve(matrix, right), strict=True)) | {ground: 0.0}


def _random_network(seed: int) -> list[Branch]:
    rng = random.Random(seed)
    nodes = [f"n{i}" for i in range(rng.randint(2, 25))]
    pairs = [(rng.choice(nodes[:i]), nodes[i]) for i in range(1, len(nodes))]
    pairs += [tuple(rng.sample(nodes, 2)) for _ in range(rng.randint(1, 30))]
    return [
        Branch(f"b{i}", a, b, 10 ** rng.uniform(-2, 2), rng.choice([0.0, 0.0, rng.uniform(-24, 24)]))
        for i, (a, b) in enumerate(pairs)
    ]


@pytest.mark.parametrize("seed", range(60))
def test_random_networks_agree_with_an_independent_solver(seed: int) -> None:
    branches = _random_network(seed)
    ours, theirs = solve(branches, "n0"), _by_matrix(branches, "n0")
    scale = max(1e-9, *(abs(v) for v in theirs.values()))
    for node, volts in theirs.items():
        assert abs(ours.voltages[node] - volts) <= 1e-9 * scale


@pytest.mark.parametrize("seed", range(20))
def test_currents_into_every_node_sum_to_zero(seed: int) -> None:
    branches = _random_network(seed)
    currents = solve(branches, "n0").currents
    largest = max(abs(c) for c in currents.values()) or 1.0
    for node in {n for b in branches for n in (b.a, b.b)}:
        net = sum(currents[b.name] * ((b.b == node) - (b.a == node)) for b in branches if b.a != b.b)
        assert abs(net) <= 1e-11 * largest


def test_a_divider_splits_the_voltage() -> None:
    found = solve([Branch("cell", "minus", "plus", 1.0, 12.0), Branch("load", "plus", "minus", 5.0)], "minus")
    assert found.voltages["plus"] == pytest.approx(10.0)
    assert found.currents["load"] == pytest.approx(2.0) == found.currents["cell"]
    assert found.across("minus", "plus") == pytest.approx(-10.0)


def test_a_joint_beside_an_insulation_resistance_keeps_its_digits() -> None:
    chain = [
        Branch("cell", "g", "a", 0.005, 12.0),
        Branch("leak", "a", "b", 1e6),
        Branch("joint", "b", "c", 1e-5),
        Branch("meter", "c", "g", 1e7),
    ]
    expected = 12.0 / (0.005 + 1e6 + 1e-5 + 1e7)
    assert solve(chain, "g").voltages["c"] == pytest.approx(expected * 1e7, rel=1e-14)


def test_an_open_branch_carries_nothing() -> None:
    found = solve(
        [Branch("cell", "g", "a", 1.0, 12.0), Branch("cut", "a", "b", math.inf), Branch("r", "b", "g", 1.0)],
        "g",
    )
    assert found.currents["cut"] == 0
    assert found.voltages["b"] == 0
    assert found.voltages["a"] == pytest.approx(12.0)


@pytest.mark.parametrize("seed", range(10))
def test_resistance_between_two_nodes_agrees_with_an_independent_solver(seed: int) -> None:
    branches = [Branch(b.name, b.a, b.b, b.ohms) for b in _random_network(seed)]
    probe = [*branches, Branch("probe", "n0", "n1", 1.0, 1.0)]
    volts = _by_matrix(probe, "n0")["n1"]
    current = 1.0 - volts
    assert resistance_between(branches, "n1", "n0") == pytest.approx(volts / current, rel=1e-8)


def test_no_path_is_an_infinite_resistance() -> None:
    assert resistance_between([Branch("a", "x", "y", 1.0), Branch("b", "u", "v", 1.0)], "x", "u") == math.inf


@pytest.mark.parametrize("ohms", [0.0, -1.0, math.nan])
def test_a_resistance_must_be_above_zero(ohms: float) -> None:
    with pytest.raises(PhysicsError, match="joint"):
        solve([Branch("joint", "a", "b", ohms)], "a")


def test_an_unknown_node_is_named() -> None:
    with pytest.raises(PhysicsError, match="nowhere"):
        solve([Branch("r", "a", "b", 1.0)], "a").across("a", "nowhere")
