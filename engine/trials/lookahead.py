"""Two readings ahead, as a policy to hold against the one-step advice.

The value of a reading here is what is saved if, after each of its outcomes, the best
second reading (or none) is taken before repairs are tried. Two readings can be worthless
singly and valuable together (Heckerman, Horvitz & Middleton 1991).
"""

from __future__ import annotations

from crankpath.engine.advice import Advisor, Suggestion, Verdict
from crankpath.engine.case import Case
from crankpath.engine.worth import Answer, expected_waste

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
    by_bits = sorted(suggestions, key=lambda s: -s.bits / s.minutes)
    first = list(dict.fromkeys([*suggestions[:_FIRST], *by_bits[:_FIRST]]))
    found = [(saved_by_two(advisor, s, first[:_SECOND]), s.measurement) for s in first if s.bits > 0.0]
    if not found or max(found)[0] <= 0.0:
        return None
    return max(found)[1]


def saved_by_two(advisor: Advisor, first: Suggestion, seconds: list[Suggestion]) -> float:
    """Minutes saved by a reading when the best second one may follow each outcome."""
    after = 0.0
    split = advisor.split(first.measurement)
    for weights in split:
        chance = sum(weight for _, _, weight in weights)
        if chance <= 1e-9:
            continue
        options = [_waste(advisor, weights)]
        options += [
            second.minutes * chance + _waste_after(advisor, weights, second.measurement)
            for second in seconds
            if second.measurement != first.measurement
        ]
        after += min(options)
    return advisor.waste_now - after - first.minutes


def _waste(advisor: Advisor, weights: list[tuple[tuple[int, ...], Answer, float]]) -> float:
    answers: dict[Answer, float] = {}
    for _, answer, weight in weights:
        answers[answer] = answers.get(answer, 0.0) + weight
    return expected_waste(answers, advisor.costs)


def _waste_after(
    advisor: Advisor, weights: list[tuple[tuple[int, ...], Answer, float]], measurement: str
) -> float:
    joint = advisor.joint_of(advisor.assessment.model.measurements[measurement], weights)
    bands = len(next(iter(joint.values()), ()))
    return sum(
        expected_waste({answer: row[band] for answer, row in joint.items()}, advisor.costs)
        for band in range(bands)
    )
