"""pyAgrum's network with one node whose states are the sets of faults that are weighed."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from itertools import chain

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
        facts = {piece.evidence.name: piece.facts for piece in assessment.used}
        for name in assessment.model.measurements:
            table = assessment.model.table(name, facts.get(name, assessment.now.facts))
            found = [table.chances(table.row_of(members)) for members in hypotheses.members]
            found[0] = table.unlisted or table.healthy
            self._child(name, found)
        self._evidence: dict[str, list[float]] = {}

    def _add(self, name: str, states: int) -> None:
        self._net.add(self._gum.LabelizedVariable(name, name, states))

    def _child(self, name: str, rows: Sequence[tuple[float, ...]]) -> None:
        self._add(name, len(rows[0]))
        self._net.addArc("sets", name)
        self._net.cpt(name).fillWith(list(chain.from_iterable(rows)))

    def observe(self, case: Case) -> None:
        """Take the readings of a case as the evidence."""
        self._evidence = {name: list(shares) for name, shares in _shares(case)}

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


def _shares(case: Case) -> list[tuple[str, tuple[float, ...]]]:
    """Weight of each band for every reading that counts."""
    return [(piece.evidence.name, piece.evidence.shares) for piece in case.assessment.used]
