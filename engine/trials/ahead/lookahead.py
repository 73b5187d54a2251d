"""Two readings ahead, as a policy to hold against the one-step advice.

The value of a reading here is what is saved if, after each of its outcomes, the best
second reading (or none) is taken before repairs are tried. Two readings can be worthless
singly and valuable together (Heckerman, Horvitz & Middleton 1991).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from crankpath.engine.advice.advisor import Advisor, Suggestion, Verdict
from crankpath.engine.advice.leading import Joint, Leading
from crankpath.engine.bayes.tables import Chances
from crankpath.engine.cases.case import Case

_FIRST = 6  # readings looked at as the first of the two, by bits per minute and by saving
_SECOND = 6


def two_step(case: Case) -> Verdict:
    """The verdict, its reading replaced by the one that is best when two are looked ahead."""
    verdict = case.verdict()
    if verdict.action != "measure":
        return verdict
    best = best_of_two(case.advisor)
    if best is None:
        return verdict
    return Verdict(
        "measure", best, verdict.repair, verdict.faults, verdict.probability, "best of two readings ahead"
    )


def best_of_two(advisor: Advisor) -> str | None:
    """The first reading of the best pair, or None if no pair saves anything."""
    suggestions = advisor.suggestions
    by_bits = sorted(suggestions, key=lambda s: -s.bits / max(s.minutes, 0.1))
    first = list(dict.fromkeys([*suggestions[:_FIRST], *by_bits[:_FIRST]]))
    found = [(saved_by_two(advisor, s, first[:_SECOND]), s.measurement) for s in first if s.bits > 0.0]
    if not found or max(found)[0] <= 0.0:
        return None
    return max(found)[1]


def saved_by_two(advisor: Advisor, first: Suggestion, seconds: list[Suggestion]) -> float:
    """Minutes saved by a reading when the best second one may follow each outcome."""
    leading, measurements = advisor.leading, advisor.assessment.model.measurements
    rows = leading.outcomes(measurements[first.measurement])
    other = [s for s in seconds if s.measurement != first.measurement]
    others = [(s, leading.outcomes(measurements[s.measurement])) for s in other]
    after = 0.0
    for band in range(len(rows[0])):
        weights = [weight * row[band] for weight, row in zip(leading.weights, rows, strict=True)]
        chance = sum(weights)
        if chance > 1e-9:
            options = [
                second.minutes * chance + _after(leading, chances, weights) for second, chances in others
            ]
            after += min([leading.expected_repair_cost(weights), *options])
    return leading.cost_now - after - first.minutes


def _after(leading: Leading, chances: Sequence[Chances], weights: list[float]) -> float:
    joint = Joint(replace(leading, weights=weights), tuple(chances))
    return leading.repair_costs.cost_after(joint.by_answer)
