"""Voltages and currents of a resistor network with voltage sources (DC nodal analysis).

The nodes are eliminated one by one (star to mesh, the form Gaussian elimination takes on a
symmetric conductance matrix). Elimination only adds and divides positive conductances, so
nothing cancels, although a joint and an insulation resistance differ by ten powers of ten.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from crankpath.engine.physics.tables import PhysicsError


@dataclass(frozen=True, slots=True)
class Branch:
    """A resistance from a to b in ohm (inf = open), with a source of emf volts that drives a to b."""

    name: str
    a: str
    b: str
    ohms: float
    emf: float = 0.0


@dataclass(frozen=True, slots=True)
class Solution:
    """Node voltages in V against the ground node, and branch currents in A from a to b."""

    voltages: Mapping[str, float]
    currents: Mapping[str, float]

    def across(self, a: str, b: str) -> float:
        """Voltage of a against b in V.

        Raises:
            PhysicsError: one of them is no node of this network.
        """
        try:
            return self.voltages[a] - self.voltages[b]
        except KeyError as slip:
            raise PhysicsError(f"There is no node {slip} in this circuit.") from slip


def solve(branches: Iterable[Branch], ground: str) -> Solution:
    """Solve the network; nodes without any path to ground get 0 V.

    Raises:
        PhysicsError: a resistance is not above zero (NaN included).
    """
    branches = tuple(branches)
    meshes, injected = _assemble(branches)
    voltages = _eliminate(meshes, injected, ground)
    currents = {
        b.name: 0.0 if math.isinf(b.ohms) else (voltages[b.a] - voltages[b.b] + b.emf) / b.ohms
        for b in branches
    }
    return Solution(voltages, currents)


def resistance_between(branches: Iterable[Branch], a: str, b: str) -> float:
    """Ohm seen between two nodes with every source at 0 V (Thevenin); inf without a path."""
    meshes, _ = _assemble(tuple(branches))
    if a == b:
        return 0.0
    if a not in meshes or b not in meshes or not _joined(meshes, a, b):
        return math.inf
    return _eliminate(meshes, {a: 1.0}, b)[a]


def _assemble(branches: tuple[Branch, ...]) -> tuple[dict[str, dict[str, float]], dict[str, float]]:
    meshes: dict[str, dict[str, float]] = {}
    injected: dict[str, float] = {}
    for branch in branches:
        if not branch.ohms > 0:
            raise PhysicsError(f"The resistance of {branch.name} must be above zero ohm.")
        a, b = branch.a, branch.b
        row_a, row_b = meshes.setdefault(a, {}), meshes.setdefault(b, {})
        if math.isinf(branch.ohms) or a == b:
            continue
        conductance = 1.0 / branch.ohms
        row_a[b] = row_a.get(b, 0.0) + conductance
        row_b[a] = row_b.get(a, 0.0) + conductance
        if branch.emf:
            injected[a] = injected.get(a, 0.0) - branch.emf * conductance
            injected[b] = injected.get(b, 0.0) + branch.emf * conductance
    return meshes, injected


def _eliminate(
    meshes: dict[str, dict[str, float]], injected: dict[str, float], ground: str
) -> dict[str, float]:
    done: list[tuple[str, dict[str, float], float, float]] = []
    left = dict.fromkeys(n for n in meshes if n != ground)  # in order: the same circuit, the same rounding
    while left:
        node = _next(left, meshes)
        del left[node]
        row, current = meshes[node], injected.get(node, 0.0)
        total = sum(row.values())
        done.append((node, row, total, current))
        for near in row:
            del meshes[near][node]
        if total > 0:
            _spread(meshes, injected, row, total, current)
    voltages = {ground: 0.0}
    for node, row, total, current in reversed(done):
        voltages[node] = (current + sum(g * voltages[n] for n, g in row.items())) / total if total else 0.0
    return voltages


def _next(left: Mapping[str, None], meshes: Mapping[str, Mapping[str, float]]) -> str:
    """A node with few neighbours: two or fewer add no branch, so the first such will do."""
    fewest, chosen = math.inf, ""
    for node in left:
        degree = len(meshes[node])
        if degree <= 2:
            return node
        if degree < fewest:
            fewest, chosen = degree, node
    return chosen


def _spread(
    meshes: dict[str, dict[str, float]],
    injected: dict[str, float],
    row: dict[str, float],
    total: float,
    current: float,
) -> None:
    around = list(row.items())
    for index, (near, conductance) in enumerate(around):
        share = conductance / total
        if current:
            injected[near] = injected.get(near, 0.0) + current * share
        for other, onward in around[index + 1 :]:
            mesh = share * onward
            meshes[near][other] = meshes[near].get(other, 0.0) + mesh
            meshes[other][near] = meshes[other].get(near, 0.0) + mesh


def _joined(meshes: Mapping[str, Mapping[str, float]], a: str, b: str) -> bool:
    seen, ahead = {a}, [a]
    while ahead:
        for near in meshes[ahead.pop()]:
            if near not in seen:
                seen.add(near)
                ahead.append(near)
    return b in seen
