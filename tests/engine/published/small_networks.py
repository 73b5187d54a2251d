"""Small networks given by their joint states, for worked examples of the literature.

Where an example has dependent causes, its joint states are entered as the degrees of one
fault: degrees exclude each other, so any distribution can be stated that way.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from math import log, log10

from crankpath.engine.advice.value_of_information import (
    Answer,
    mutual_information,
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
    return mutual_information(tuple(joint.values()))


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


def noisy_or(leak: float, strengths: Mapping[int, float]) -> ObservationTable:
    """Strengths are without the background, as most books state them; rules are with it."""
    effects = {
        cause: Effect(((1 - leak) * (1 - w), 1 - (1 - leak) * (1 - w))) for cause, w in strengths.items()
    }
    return ObservationTable((1.0 - leak, leak), effects, (1.0 - leak, leak))
