"""Any chance of a cause, accounted for down to the lines of the knowledge base.

One set of faults is followed by multiplication: its prior chance, then what each piece of
evidence gives it, then the quotient by the chance of all the evidence. The other sets that
hold the same fault are added, and the sum is the chance that the case states. The factors
are worked out here from the rules' own distributions, one hypothesis at a time; the
posterior is worked out for groups of hypotheses at once (`crankpath.engine.inference.likelihood`),
so that the two check each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import prod

from crankpath.engine.inference.assessment import Assessment, EvidenceItem
from crankpath.engine.inference.bands import healthy_in_force, limit_set_in_force, limits_in_force
from crankpath.engine.inference.tables import Chances
from crankpath.engine.knowledge.records import EvidenceRule, LimitSet, Origin, Share


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
class Factor:
    """What one piece of evidence gives the set of faults.

    value: P(evidence | set), the sum over bands of share times chance. healthy_value: the same
    for a sound circuit. with_fault, healthy: chances of the bands. away: chance that the fault
    shows where the symptom was away, or where nobody could see it (the chances are mixed with it),
    or None. rule: the rule behind ``with_fault``, or None where the healthy chances hold.
    limits: between the bands, in the unit; limit_set: where they are written. odds: by what the
    reading changed the odds of the cause, all others being there. mended: the fault was repaired
    by then. outcome: ``value`` is the chance that a repair comes out so where all that was wrong
    had been repaired.
    """

    measurement: str
    text: str
    symptom: bool
    mended: bool
    outcome: bool
    bands: tuple[str, ...]
    shares: tuple[float, ...]
    with_fault: Chances
    healthy: Chances
    value: float
    healthy_value: float
    odds: float
    rule: EvidenceRule | None
    healthy_at: Origin
    away: float | None = None
    limits: tuple[float, ...] = ()
    limit_set: LimitSet | None = None


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
    factors = tuple(
        _factor(assessment, piece, element, _odds_factor(assessment, number, fault))
        for number, piece in enumerate(assessment.used)
    )
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


def _factor(assessment: Assessment, piece: EvidenceItem, element: int | None, odds: float) -> Factor:
    evidence, model, taken = piece.evidence, assessment.model, piece.taken
    measurement = model.measurements[evidence.name]
    left = () if element is None else evidence.mended.left((element,))
    fully_repaired_hypotheses = element is not None and evidence.mended.empties((element,))
    rule = model.rule_for(evidence.name, left[0], piece.facts) if left else None
    away = None
    chances = healthy = evidence.table.healthy
    if element is None:
        chances = evidence.table.unlisted or healthy
    elif rule is not None:
        chances = evidence.table.effects[left[0]].chances
        if evidence.symptom_probability < 1.0:
            away = model.faults[model.elements[left[0]].fault].away
            away = evidence.symptom_probability + (1.0 - evidence.symptom_probability) * away
            chances = tuple(away * c + (1.0 - away) * h for c, h in zip(chances, healthy, strict=True))
    value = _weighed(evidence.shares, chances)
    alone = () if element is None else (element,)
    if evidence.before is not None and evidence.before.untouched(evidence.table, alone, evidence.mended):
        value = evidence.before.value(evidence.shares, value)
    outcome = fully_repaired_hypotheses and evidence.outcome is not None
    if outcome and evidence.outcome is not None and element is not None:
        value = evidence.outcome.outcome_likelihood((element,))
    numeric = measurement.numeric and taken is not None and isinstance(taken.value, float | int)
    return Factor(
        evidence.name,
        " and ".join(r.text for r in taken.readings) if taken else f"the repair: {piece.band}",
        evidence.symptom_probability > 0.0,
        element is not None and not left,
        outcome,
        measurement.bands,
        evidence.shares,
        chances,
        healthy,
        value,
        _weighed(evidence.shares, healthy),
        odds,
        rule,
        healthy_in_force(measurement, piece.facts).origin,
        away,
        limits_in_force(measurement, piece.facts) if numeric else (),
        limit_set_in_force(measurement, piece.facts) if numeric else None,
    )


def _weighed(shares: Chances, chances: Chances) -> float:
    return sum(share * chance for share, chance in zip(shares, chances, strict=True))


def _odds_factor(assessment: Assessment, number: int, fault: str | None) -> float:
    """Odds with the reading over odds with all the others (Good 1950)."""
    now, others = (
        p.unlisted if fault is None else p.fault_marginals().get(fault, 0.0)
        for p in (assessment.posterior, assessment.without[number])
    )
    return _odds(now) / _odds(others)


def _odds(chance: float) -> float:
    return max(chance, 1e-12) / max(1.0 - chance, 1e-12)


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
