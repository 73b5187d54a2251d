"""pyAgrum's network with one node whose states are the sets of faults that are weighed.

What was read is a node with two states, *as it was read* and not, whose table holds the density of the
reading under each set; what can still be read is a node whose states are its outcomes.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from itertools import chain

from crankpath.engine.bayes.evidence import Evidence, Sum
from crankpath.engine.bayes.hypotheses import Hypotheses
from crankpath.engine.bayes.posterior import Crank, likelihood
from crankpath.engine.cases.case import Case


class Network:
    """The network of a machine under the facts of a case; evidence is set by `observe`."""

    def __init__(self, case: Case) -> None:
        self._gum = import_module("pyagrum")
        self._gum.setNumberOfThreads(1)
        assessment = case.assessment
        hypotheses = assessment.model.hypotheses
        self._net = self._gum.BayesNet()
        whole = sum(hypotheses.prior)
        self._add("sets", len(hypotheses.members))
        self._net.cpt("sets").fillWith([chance / whole for chance in hypotheses.prior])
        self._faults = sorted({element.fault for element in hypotheses.elements})
        for fault in self._faults:
            held = {i for i, element in enumerate(hypotheses.elements) if element.fault == fault}
            absent, there = (1.0, 0.0), (0.0, 1.0)
            rows = [absent if held.isdisjoint(members) else there for members in hypotheses.members]
            self._child(f"fault {fault}", rows)
        self._read: dict[str, object] = {}
        self._evidence: dict[str, int] = {}
        for crank in assessment.cranks.of(assessment.used):
            self._child(_name(crank), [(0.0, 1.0)] * len(hypotheses.members))
        read = {piece.evidence.name for piece in assessment.used}
        for name in assessment.model.measurements:
            if name not in read:
                table = assessment.model.table(name, assessment.now.facts)
                found = [table.outcomes_of[members] for members in hypotheses.members]
                found[0] = table.outcomes(table.unlisted)
                self._child(name, found)

    def _add(self, name: str, states: int) -> None:
        self._net.add(self._gum.LabelizedVariable(name, name, states))

    def _child(self, name: str, rows: Sequence[tuple[float, ...]]) -> None:
        self._add(name, len(rows[0]))
        self._net.addArc("sets", name)
        self._net.cpt(name).fillWith(list(chain.from_iterable(rows)))

    def observe(self, case: Case) -> None:
        """Take the readings of a case as the evidence: that each reads as it was read."""
        hypotheses = case.assessment.model.hypotheses
        for crank in case.assessment.cranks.of(case.assessment.used):
            name = _name(crank)
            if self._read.get(name) == crank.identity:
                continue
            self._read[name] = crank.identity
            densities = _densities(hypotheses, crank)
            most = max(densities)
            rows = ((density / most, 1.0 - density / most) for density in densities)
            self._net.cpt(name).fillWith(list(chain.from_iterable(rows)))
        self._evidence = dict.fromkeys(self._read, 0)

    def chances(self) -> dict[str, float]:
        """Chance of each fault."""
        inference = self._gum.LazyPropagation(self._net)
        inference.setEvidence(self._evidence)
        inference.setTargets({f"fault {fault}" for fault in self._faults})
        inference.makeInference()
        return {fault: inference.posterior(f"fault {fault}").tolist()[1] for fault in self._faults}

    def bits(self, measurement: str) -> float:
        """Mutual information of a reading and the set of faults, given the evidence."""
        inference = self._gum.LazyPropagation(self._net)
        inference.setEvidence(self._evidence)
        inference.setTargets({"sets", measurement})
        theory = self._gum.InformationTheory(inference, [measurement], ["sets"])
        return float(theory.mutualInformationXY())


def _name(crank: Crank) -> str:
    """The node that stands for what was read on one crank."""
    first, *_ = crank.factors
    return f"read {first.whole.name if isinstance(first, Sum) else first.name}"


def _densities(hypotheses: Hypotheses, crank: Crank) -> list[float]:
    """P(what was read | set), set by set.

    Each reading is weighed under each row as it stands; readings that add up, or of which nobody saw
    whether the complaint was there, are taken from the engine.
    """
    readings = [factor for factor in crank.factors if isinstance(factor, Evidence)]
    if len(readings) < len(crank.factors) or crank.symptom_probability < 1.0:
        return list(likelihood(hypotheses, crank))
    found = [1.0] * len(hypotheses.members)
    for reading in readings:
        table, weigh = reading.table, reading.read.weigh
        found[0] *= weigh(table.unlisted)
        for place, members in enumerate(hypotheses.members[1:], 1):
            found[place] *= weigh(table.row_of(members))
    return found
