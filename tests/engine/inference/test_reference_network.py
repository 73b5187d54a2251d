"""Random networks against exact inference by an independent library (pyAgrum).

The reference network is built from what the rules mean, not from how the engine computes:
one node per fault; for noisy-MAX one hidden node per cause and one for the background, of
which the reading is the largest (or smallest); masks and pooled readings by a full table
from `together` below; one more node in between where a fault may be away, and one for whether the
complaint was there where nobody saw it; and a node
*anything at all*, on which the share of "not listed" is soft evidence.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import product
from random import Random
from typing import Any

import pytest
from sampled import one_in

from crankpath.engine.advice.value_of_information import mutual_information
from crankpath.engine.bayes.evidence import Evidence, Observed
from crankpath.engine.bayes.hypotheses import Element, Hypotheses, list_hypotheses
from crankpath.engine.bayes.posterior import Crank, Posterior, posterior
from crankpath.engine.bayes.tables import Chances, Effect, ObservationTable

gum: Any = pytest.importorskip("pyagrum", reason="pyagrum comes with the extra 'test'")

NETWORKS = one_in(15, range(220))
AGREEMENT = 1e-6


@dataclass(frozen=True)
class Cause:
    """What one element does to a reading: chances with the background and without it."""

    chances: Chances
    own: Chances
    rank: int
    away: float


@dataclass(frozen=True)
class Meter:
    """One measurement of a random network, read (``shares``) or not (None)."""

    healthy: Chances
    causes: dict[int, Cause]
    push: str
    unlisted: Chances
    shares: tuple[float, ...] | None
    symptom_probability: float

    @cached_property
    def table(self) -> ObservationTable:
        effects = {index: Effect(cause.chances, cause.rank) for index, cause in self.causes.items()}
        away = {index: cause.away for index, cause in self.causes.items()}
        combination = {"up": "largest", "down": "smallest", "both": "product_of_odds"}[self.push]
        return ObservationTable(self.healthy, effects, self.unlisted or self.healthy, away, combination)

    def crank(self, name: str, elements: int) -> Crank:
        shows = tuple(self.causes[e].away if e in self.causes else 1.0 for e in range(elements))
        evidence = Evidence(name, Observed(self.shares or ()), self.table, self.symptom_probability)
        return Crank((evidence,), self.symptom_probability, shows)


@dataclass(frozen=True)
class Network:
    """Chance of each degree of each fault, the share of "not listed", and the measurements."""

    degrees: tuple[tuple[float, ...], ...]
    unlisted: float | None
    meters: tuple[Meter, ...]

    def element(self, fault: int, degree: int) -> int:
        return sum(len(chances) for chances in self.degrees[:fault]) + degree

    def states(self, fault: int) -> list[int | None]:
        """The element that each state of a fault stands for; absent (None) first."""
        return [None, *(self.element(fault, degree) for degree in range(len(self.degrees[fault])))]

    def faults_at(self, meter: Meter) -> list[int]:
        return [f for f in range(len(self.degrees)) if not meter.causes.keys().isdisjoint(self.states(f))]


# -- random networks ------------------------------------------------------------------


def random_chances(rng: Random, bands: int) -> Chances:
    weights = [rng.random() ** 2 + 0.01 for _ in range(bands)]
    return tuple(weight / sum(weights) for weight in weights)


def furthest(push: str, rows: list[Chances]) -> Chances:
    """Distribution of the largest ("up") or smallest ("down") of independent draws."""
    pick = max if push == "up" else min
    chances = rows[0]
    for row in rows[1:]:
        found = [0.0] * len(row)
        for (a, p), (b, q) in product(enumerate(chances), enumerate(row)):
            found[pick(a, b)] += p * q
        chances = tuple(found)
    return chances


def random_meter(rng: Random, elements_of: list[list[int]], read: bool) -> Meter:
    bands, push = rng.randint(2, 5), rng.choice(["up", "down", "both"])
    masked, healthy = rng.random() < 0.4, random_chances(rng, bands)
    causes = {}
    for fault in rng.sample(range(len(elements_of)), rng.randint(1, 4)):
        for element in elements_of[fault]:
            if rng.random() < 0.9:
                own = random_chances(rng, bands)
                chances = own if push == "both" else furthest(push, [healthy, own])
                rank = rng.choice([0, 0, 1, 2]) if masked else 0
                causes[element] = Cause(chances, own, rank, rng.choice([0.05, 0.4, 0.8, 1.0]))
    shares = None
    if read:
        hard = tuple(float(band == 0) for band in rng.sample(range(bands), bands))
        shares = hard if rng.random() < 0.6 else random_chances(rng, bands)
    unlisted = random_chances(rng, bands) if rng.random() < 0.7 else ()
    return Meter(healthy, causes, push, unlisted, shares, rng.choice([1.0, 1.0, 1.0, 0.0, 0.35]))


def random_network(seed: int) -> Network:
    rng = Random(seed)
    count = rng.randint(4, 9)
    double = set(rng.sample(range(count), rng.randint(0, 2)))
    degrees = tuple(
        tuple(rng.uniform(0.01, 0.2) for _ in range(2 if fault in double else 1)) for fault in range(count)
    )
    elements_of, reached = [], 0
    for chances in degrees:
        elements_of.append(list(range(reached, reached + len(chances))))
        reached += len(chances)
    measured = rng.randint(4, 8)
    unread = rng.randrange(measured)
    meters = [random_meter(rng, elements_of, m != unread and rng.random() < 0.8) for m in range(measured)]
    return Network(degrees, rng.choice([None, 0.02, 0.3]), tuple(meters))


# -- the engine's answer --------------------------------------------------------------


def list_all(network: Network) -> Hypotheses:
    elements = [
        Element(f"fault {fault}", f"degree {degree}", chance)
        for fault, chances in enumerate(network.degrees)
        for degree, chance in enumerate(chances)
    ]
    return list_hypotheses(elements, network.unlisted, largest=len(network.degrees))


def evaluate(network: Network) -> Posterior:
    hypotheses = list_all(network)
    cranks = [
        meter.crank(f"reading {number}", len(hypotheses.elements))
        for number, meter in enumerate(network.meters)
        if meter.shares is not None
    ]
    return posterior(hypotheses, cranks)


def joint(result: Posterior, meter: Meter, faults: set[str]) -> dict[frozenset[str], list[float]]:
    """Joint chances of the states of some faults and the bands of a reading not yet taken."""
    found: dict[frozenset[str], list[float]] = {}
    table = meter.table
    for members, weight in zip(result.hypotheses.members, result.weights, strict=True):
        elements = [result.hypotheses.elements[member] for member in members]
        state = frozenset(f"{e.fault} {e.degree}" for e in elements if e.fault in faults)
        there, away = table.outcomes_of[members], table.outcomes_away[members]
        p = meter.symptom_probability
        row = [p * a + (1 - p) * b for a, b in zip(there, away, strict=True)]
        if not members:
            row = list(table.unlisted)
        sums = found.setdefault(state, [0.0] * len(row))
        found[state] = [total + weight * chance for total, chance in zip(sums, row, strict=True)]
    return found


# -- the reference --------------------------------------------------------------------


def together(meter: Meter, present: list[Cause]) -> Chances:
    """P(band | these causes) with masks, by the meaning of noisy-MAX and of pooled odds."""
    top = max((cause.rank for cause in present), default=0)
    acting = [cause for cause in present if cause.rank == top]
    if meter.push != "both":
        return furthest(meter.push, [meter.healthy, *(cause.own for cause in acting)])
    weights = list(meter.healthy)
    for cause in acting:
        weights = [w * p / h for w, p, h in zip(weights, cause.chances, meter.healthy, strict=True)]
    return tuple(weight / sum(weights) for weight in weights)


class Reference:
    """A network rebuilt node by node."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.net = gum.BayesNet()
        self.evidence: dict[str, Any] = {}
        for fault, chances in enumerate(network.degrees):
            self._node(f"f{fault}", len(chances) + 1, {}, lambda _, c=chances: (1 - sum(c), *c))
        self.any = self._anything()
        for number, meter in enumerate(network.meters):
            self._meter(number, meter)

    def _node(self, name: str, states: int, parents: dict[str, int], row: Any) -> str:
        """Add a node; ``row`` gives the chances of its states for the states of its parents."""
        self.net.add(gum.LabelizedVariable(name, name, states))
        for parent in parents:
            self.net.addArc(parent, name)
        for state in product(*(range(size) for size in parents.values())):
            chances = [float(chance) for chance in row(state)]
            if parents:
                self.net.cpt(name)[dict(zip(parents, state, strict=True))] = chances
            else:
                self.net.cpt(name).fillWith(chances)
        return name

    def _anything(self) -> str:
        """A node that is 1 if any fault is there; "not listed" is soft evidence on it."""
        last, none = "", 1.0
        for fault, chances in enumerate(self.network.degrees):
            parents = ({last: 2} if last else {}) | {f"f{fault}": len(chances) + 1}
            last = self._node(f"any{fault}", 2, parents, lambda s: (0, 1) if any(s) else (1, 0))
            none *= 1.0 - sum(chances)
        if self.network.unlisted is not None:
            self.evidence[last] = [self.network.unlisted / none, (1 - self.network.unlisted) / (1 - none)]
        return last

    def _meter(self, number: int, meter: Meter) -> None:
        bands, name = len(meter.healthy), f"m{number}"
        if meter.symptom_probability < 1.0:
            there = meter.symptom_probability
            self._node(f"{name}_there", 2, {}, lambda _: (1 - there, there))
        shown = {self._shown(name, f, meter): f for f in self.network.faults_at(meter)}
        masked = any(cause.rank for cause in meter.causes.values())
        inner = self._table(name, shown, meter) if masked or meter.push == "both" else None
        inner = inner or self._extreme(name, shown, meter)
        unlisted = meter.unlisted or meter.healthy

        def row(state: tuple[int, int]) -> Chances:
            reads, anything = state
            return tuple(float(band == reads) for band in range(bands)) if anything else unlisted

        self._node(name, bands, {inner: bands, self.any: 2}, row)
        if meter.shares is not None:
            self.evidence[name] = list(meter.shares)

    def _shown(self, name: str, fault: int, meter: Meter) -> str:
        """The fault as this reading sees it: with the symptom away it may seem absent."""
        if meter.symptom_probability == 1.0:
            return f"f{fault}"
        states = self.network.states(fault)

        def row(state: tuple[int, int]) -> Chances:
            fault_state, there = state
            cause = None if not fault_state else meter.causes.get(states[fault_state] or 0)
            shows = 1.0 if cause is None or there else cause.away
            return tuple((s == fault_state) * shows + (s == 0) * (1 - shows) for s in range(len(states)))

        parents = {f"f{fault}": len(states), f"{name}_there": 2}
        return self._node(f"{name}_f{fault}", len(states), parents, row)

    def _causes(self, meter: Meter, faults: list[int], state: tuple[int, ...]) -> list[Cause]:
        there = [self.network.states(fault)[s] for fault, s in zip(faults, state, strict=True)]
        return [meter.causes[element] for element in there if element in meter.causes]

    def _table(self, name: str, shown: dict[str, int], meter: Meter) -> str:
        faults = list(shown.values())
        parents = {node: len(self.network.states(fault)) for node, fault in shown.items()}
        row = lambda state: together(meter, self._causes(meter, faults, state))  # noqa: E731
        return self._node(f"{name}_all", len(meter.healthy), parents, row)

    def _extreme(self, name: str, shown: dict[str, int], meter: Meter) -> str:
        """Hidden draws of the background and of each cause, and the furthest of them."""
        bands = len(meter.healthy)
        pick, idle = (max, 0) if meter.push == "up" else (min, bands - 1)
        last = self._node(f"{name}_background", bands, {}, lambda _: meter.healthy)
        nothing = tuple(float(band == idle) for band in range(bands))
        for node, fault in shown.items():

            def draw(state: tuple[int], fault: int = fault) -> Chances:
                causes = self._causes(meter, [fault], state)
                return causes[0].own if causes else nothing

            parent = {node: len(self.network.states(fault))}
            own = self._node(f"{name}_draw{fault}", bands, parent, draw)
            last = self._node(
                f"{name}_upto{fault}",
                bands,
                {last: bands, own: bands},
                lambda s: [float(band == pick(s)) for band in range(bands)],
            )
        return last

    def infer(self, targets: set[str]) -> Any:
        inference = gum.LazyPropagation(self.net)
        inference.setEvidence(self.evidence)
        inference.setTargets(targets)
        inference.makeInference()
        return inference

    def bits(self, meter: int, faults: set[int]) -> float:
        """Mutual information between some faults and a reading, given the evidence.

        By `InformationTheory`: the library's jointMutualInformation leaves the evidence out.
        """
        inference = gum.LazyPropagation(self.net)
        inference.setEvidence(self.evidence)
        inference.setTargets({f"m{meter}"})
        theory = gum.InformationTheory(inference, [f"m{meter}"], [f"f{fault}" for fault in faults])
        return float(theory.mutualInformationXY())


# -- the tests ------------------------------------------------------------------------


@pytest.mark.parametrize("seed", NETWORKS)
def test_chances_of_every_degree_and_of_the_evidence_equal_exact_inference(seed: int) -> None:
    network = random_network(seed)
    result = evaluate(network)
    reference = Reference(network)
    faults = {f"f{fault}" for fault in range(len(network.degrees))}
    inference = reference.infer(faults | {reference.any})
    marginals = result.marginals()
    for fault, chances in enumerate(network.degrees):
        exact = inference.posterior(f"f{fault}").tolist()[1:]
        ours = [marginals[network.element(fault, degree)] for degree in range(len(chances))]
        assert ours == pytest.approx(exact, abs=AGREEMENT)
    assert result.unlisted == pytest.approx(inference.posterior(reference.any).tolist()[0], abs=AGREEMENT)
    assert result.evidence_chance == pytest.approx(inference.evidenceProbability(), rel=AGREEMENT)
    assert result.bound == 0.0


@pytest.mark.parametrize("seed", NETWORKS)
def test_bits_of_an_unread_measurement_equal_exact_inference(seed: int) -> None:
    network = random_network(seed)
    result = evaluate(network)
    reference = Reference(network)
    rng = Random(seed)
    unread = rng.choice([number for number, meter in enumerate(network.meters) if meter.shares is None])
    everything = set(range(len(network.degrees)))
    for faults in ({rng.choice(sorted(everything))}, everything):
        together = joint(result, network.meters[unread], {f"fault {fault}" for fault in faults})
        ours = mutual_information(tuple(together.values()))
        assert ours == pytest.approx(reference.bits(unread, faults), abs=AGREEMENT)


def test_the_random_networks_hold_every_kind_of_case() -> None:
    networks = [random_network(seed) for seed in range(40)]
    meters = [meter for network in networks for meter in network.meters]
    kinds = {(meter.push, any(cause.rank for cause in meter.causes.values())) for meter in meters}
    assert kinds == {(push, masked) for push in ("up", "down", "both") for masked in (False, True)}
    assert {meter.symptom_probability for meter in meters if meter.shares} == {0.0, 0.35, 1.0}
    assert any(0.0 < max(meter.shares) < 1.0 for meter in meters if meter.shares)
    assert {network.unlisted for network in networks} == {None, 0.02, 0.3}
    assert {len(chances) for network in networks for chances in network.degrees} == {1, 2}
