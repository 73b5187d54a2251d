"""Any chance of a cause, accounted for down to the lines of the knowledge base.

One set of faults is followed by multiplication: its prior chance, then what each piece of
evidence gives it (`crankpath.engine.advice.followed_hypothesis`), then the quotient by the chance of all the
evidence. The other sets that hold the same fault are added, and the sum is the chance that the case
states.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import prod

from crankpath.engine.advice.followed_hypothesis import Factor, FollowedHypothesis
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.knowledge.records import Origin, Share


@dataclass(frozen=True, slots=True)
class Prior:
    """Where the prior chance of the set comes from.

    share: the fault's share in force (None for *not listed*). scale: the setting that scales
    it. part: of the fault's chance, this degree's. chance: p of the degree. of_set: the prior
    chance that this and nothing else is wrong.
    """

    share: Share | None
    scale: float
    scale_at: Origin
    part: float
    chance: float
    of_set: float


@dataclass(frozen=True, slots=True)
class Account:
    """A cause's chance, from its prior to what the case states.

    fault: None for *not listed*. degree: the degree that is followed. evidence_chance:
    P(all evidence). product: prior of the set times all factors. alone: product over
    evidence_chance, the chance that this degree alone is wrong. stated_alone: the same by the
    case's own calculation. others: (set of (fault, degree), chance) of the other sets with the
    fault, likeliest first. probability: chance of the cause as the case states it. bound: by how
    much sets that are not listed can change it. unused: (measurement, reason) of readings that
    are no evidence.
    """

    fault: str | None
    degree: str
    prior: Prior
    factors: tuple[Factor, ...]
    evidence_chance: float
    product: float
    alone: float
    stated_alone: float
    others: tuple[tuple[tuple[tuple[str, str], ...], float], ...]
    probability: float
    left_out: float
    bound: float
    unused: tuple[tuple[str, str], ...]

    @property
    def total(self) -> float:
        """The sum over all sets with the fault, by this account."""
        return self.alone + sum(chance for _, chance in self.others)


def account(assessment: Assessment, fault: str | None) -> Account:
    """The account of a fault's chance; its likeliest degree is followed step by step.

    Args:
        assessment: the case.
        fault: a fault that this machine can have, or None for *not listed*.
    """
    posterior, hypotheses = assessment.posterior, assessment.model.hypotheses
    element = _followed(assessment, fault)
    members = () if element is None else (element,)
    place = hypotheses.members.index(members)
    followed = FollowedHypothesis(assessment, fault, element)
    factors = tuple(followed.factor(crank) for crank in assessment.cranks.of(assessment.used))
    product = hypotheses.prior[place] * prod(factor.value for factor in factors)
    whole = posterior.evidence_chance
    return Account(
        fault,
        "" if element is None else hypotheses.elements[element].degree,
        _prior(assessment, element, hypotheses.prior[place]),
        factors,
        whole,
        product,
        product / whole if whole > 0.0 else hypotheses.prior[place],
        posterior.weights[place],
        _others(assessment, fault, place),
        posterior.unlisted if fault is None else posterior.fault_marginals().get(fault, 0.0),
        hypotheses.left_out,
        posterior.bound,
        tuple(
            (p.taken.measurement.id, p.why_not or "") for p in assessment.weighed if p.taken and not p.used
        ),
    )


def _followed(assessment: Assessment, fault: str | None) -> int | None:
    """The element of the fault whose set by itself is likeliest; None for *not listed*."""
    if fault is None:
        return None
    hypotheses, weights = assessment.model.hypotheses, assessment.posterior.weights
    own = assessment.model.elements_of[fault]
    return max(own, key=lambda index: weights[hypotheses.members.index((index,))])


def _prior(assessment: Assessment, element: int | None, of_set: float) -> Prior:
    model = assessment.model
    settings = model.kb.settings
    if element is None:
        return Prior(
            None, settings["unlisted"], settings.origins["unlisted"], 1.0, settings["unlisted"], of_set
        )
    one = model.elements[element]
    fault = model.faults[one.fault]
    share = next(s for s in fault.shares if s.given is None or s.given.holds(model.known) is True)
    whole = share.chance * settings["co_occurrence_scale"]
    at = settings.origins["co_occurrence_scale"]
    return Prior(share, settings["co_occurrence_scale"], at, one.chance / whole, one.chance, of_set)


def _others(
    assessment: Assessment, fault: str | None, place: int
) -> tuple[tuple[tuple[tuple[str, str], ...], float], ...]:
    if fault is None:
        return ()
    hypotheses, weights = assessment.model.hypotheses, assessment.posterior.weights
    own = set(assessment.model.elements_of[fault])
    found = [
        (tuple((hypotheses.elements[m].fault, hypotheses.elements[m].degree) for m in members), weights[n])
        for n, members in enumerate(hypotheses.members)
        if n != place and not own.isdisjoint(members)
    ]
    return tuple(sorted(found, key=lambda pair: -pair[1]))
