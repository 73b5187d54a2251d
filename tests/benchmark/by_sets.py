"""The same chances and bits on the same sets of faults, by arrays and by pyAgrum at its best.

Both are given what hangs on no posterior: the prior times what was read before, what the new reading is
under each set, and what each open reading shows under each. From there arrays (numpy) multiply and
add up. pyAgrum has a network with one node whose states are the sets and a child for what was read; it is
asked for one posterior of the sets, by variable elimination, and arrays do the rest. (Asked for each mutual
information by itself it takes forty times as long.)
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from crankpath.engine.bayes.posterior import likelihood
from crankpath.engine.cases.case import Case


class Arrays:
    """Chances of the faults and bits about the right repair, by array operations."""

    def __init__(self, case: Case) -> None:
        np = self._np = import_module("numpy")
        assessment = case.assessment
        model, hypotheses = assessment.model, assessment.model.hypotheses
        self.before = np.array(hypotheses.prior)
        for crank in assessment.cranks.of(assessment.used):
            self.before *= np.array(likelihood(hypotheses, crank))
        self.faults = sorted({element.fault for element in hypotheses.elements})
        self._holds = np.zeros((len(self.faults), len(hypotheses.members)))
        for place, members in enumerate(hypotheses.members):
            for member in members:
                self._holds[self.faults.index(hypotheses.elements[member].fault), place] = 1.0
        answers: dict[frozenset[str], int] = {}
        self._answer = np.array(
            [answers.setdefault(model.answer(members), len(answers)) for members in hypotheses.members]
        )
        self._answers = len(answers)
        self._open: dict[str, tuple[Any, Any]] = {}

    def given(self, case: Case) -> Any:
        """What the last reading of a case is under each set."""
        assessment = case.assessment
        last = case.entries[-1]
        read = [piece for piece in assessment.used if piece.taken and piece.taken.readings[-1] is last]
        (crank,) = assessment.cranks.of(read)
        return self._np.array(likelihood(assessment.model.hypotheses, crank))

    def open(self, case: Case) -> None:
        """Lay out what the readings that are open in a case show under each set."""
        np, assessment = self._np, case.assessment
        members = assessment.model.hypotheses.members
        for measurement in case.advisor.options.open:
            table = assessment.model.table(measurement.id, assessment.now.facts)
            rows = [table.outcomes(table.unlisted), *(table.outcomes_of[one] for one in members[1:])]
            places: dict[int, int] = {}
            of_set = np.array([places.setdefault(id(row), len(places)) for row in rows])
            different = {id(row): row for row in rows}
            self._open[measurement.id] = (of_set, np.array([different[key] for key in places]))

    def posterior(self, given: Any) -> Any:
        """Chance of each set after one more reading, whose likelihood under each is given."""
        weights = self.before * given
        return weights / weights.sum()

    def told(self, posterior: Any) -> tuple[dict[str, float], dict[str, float]]:
        """Chance of each fault, and mutual information of the right repair and each open reading."""
        return dict(zip(self.faults, (self._holds @ posterior).tolist(), strict=True)), self._bits(posterior)

    def _bits(self, posterior: Any) -> dict[str, float]:
        np, found = self._np, {}
        for name, (of_set, rows) in self._open.items():
            cells = self._answer * len(rows) + of_set
            shares = np.bincount(cells, posterior, self._answers * len(rows)).reshape(self._answers, -1)
            joint = shares @ rows
            found[name] = float(
                self._inner(joint) - self._inner(joint.sum(axis=0)) - self._inner(joint.sum(axis=1))
            )
        return found

    def _inner(self, weights: Any) -> Any:
        positive = weights[weights > 0.0]
        return positive @ self._np.log2(positive)


class Network:
    """pyAgrum's network of the sets and what was read."""

    def __init__(self, arrays: Arrays) -> None:
        gum = self._gum = import_module("pyagrum")
        gum.setNumberOfThreads(1)
        self._net = gum.BayesNet()
        self._net.add(gum.LabelizedVariable("sets", "sets", len(arrays.before)))
        self._net.cpt("sets").fillWith((arrays.before / arrays.before.sum()).tolist())
        self._net.add(gum.LabelizedVariable("read", "read", 2))
        self._net.addArc("sets", "read")

    def observe(self, given: Any) -> None:
        """What the reading is under each set: the chance of the first of two states, but for a factor."""
        shares = (given / given.max()).tolist()
        self._net.cpt("read").fillWith([cell for share in shares for cell in (share, 1.0 - share)])

    def posterior(self) -> Any:
        """Chance of each set."""
        inference = self._gum.VariableElimination(self._net)
        inference.setEvidence({"read": 0})
        inference.addTarget("sets")
        inference.makeInference()
        return inference.posterior("sets").toarray()
