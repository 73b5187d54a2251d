"""Why: what speaks for and against a cause, what a reading would show, what was ruled out.

Weight of evidence is Good's (1950): the factor by which a reading changed the odds of a
cause, here leave-one-out (odds with all readings over odds with all but this one), so it
does not depend on the order of readings.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

from crankpath.engine.bayes.posterior import Posterior
from crankpath.engine.bayes.tables import MeterTable
from crankpath.engine.inference.assessment import Assessment
from crankpath.engine.inference.evidence_item import EvidenceItem
from crankpath.engine.inference.expected import Expected, expected_of
from crankpath.engine.knowledge.records import SYMPTOM_KIND, EvidenceRule, Origin

_TINY = 1e-12


@dataclass(frozen=True, slots=True)
class Reason:
    """One reading's part in a cause.

    factor: odds with it over odds without it. decibans: 10 log10 of that. rule: the
    evidence rule that says what the fault makes it read, or None where the fault changes
    nothing there and the healthy reading holds.
    """

    measurement: str | None
    text: str
    band: str
    symptom: bool
    factor: float
    rule: str | None
    because: str
    sources: tuple[str, ...]
    origin: Origin | None

    @property
    def decibans(self) -> float:
        """The weight of evidence, 10 log10 of the factor."""
        return 10.0 * log10(max(self.factor, _TINY))


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a reading would show if a cause were there.

    chances: of each value of an observation; of each named band of a meter reading, for people.
    expected: what a meter would read, in the unit; None for an observation.
    rule: the evidence rule of the fault's likeliest degree, with its because and sources; None
    where that degree changes nothing there and the healthy reading holds.
    """

    fault: str | None
    probability: float
    chances: dict[str, float]
    expected: Expected | None = None
    rule: str | None = None
    because: str = ""
    sources: tuple[str, ...] = ()

    @property
    def likeliest(self) -> str:
        """The likeliest value, or named band."""
        return max(self.chances, key=self.chances.__getitem__)

    def differs_from(self, other: Prediction) -> bool:
        """True if the reading mostly tells the two causes apart."""
        apart = sum(abs(self.chances[name] - other.chances[name]) for name in self.chances) / 2.0
        return apart >= 0.5


@dataclass(frozen=True, slots=True)
class RuledOut:
    """A fault that was thinkable and no longer is, and the reading that did most to it."""

    fault: str
    before: float
    now: float
    by: Reason


def reasons(assessment: Assessment, fault: str | None) -> tuple[Reason, ...]:
    """What speaks for and against a fault (None: something not listed), strongest first."""
    now = _odds(_chance(assessment.posterior, fault))
    found = [
        _reason(assessment, piece, fault, now / _odds(_chance(others, fault)))
        for piece, others in zip(assessment.used, assessment.without, strict=True)
    ]
    return tuple(sorted(found, key=lambda reason: -abs(reason.decibans)))


def _chance(posterior: Posterior, fault: str | None) -> float:
    return posterior.unlisted if fault is None else posterior.fault_marginals().get(fault, 0.0)


def _odds(chance: float) -> float:
    return max(chance, _TINY) / max(1.0 - chance, _TINY)


def _reason(assessment: Assessment, piece: EvidenceItem, fault: str | None, factor: float) -> Reason:
    rule = _rule_behind(assessment, piece, fault)
    taken = piece.taken
    text = " and ".join(reading.text for reading in taken.readings) if taken else piece.band
    return Reason(
        None if taken is None else taken.measurement.id,
        text,
        piece.band,
        True if taken is None else taken.symptom,
        factor,
        None if rule is None else rule.id,
        "" if rule is None else rule.because,
        () if rule is None else rule.sources,
        None if rule is None else rule.origin,
    )


def _rule_behind(assessment: Assessment, piece: EvidenceItem, fault: str | None) -> EvidenceRule | None:
    """The rule for the likeliest degree of the fault; None where that degree changes nothing there."""
    if fault is None:
        return None
    model, marginals = assessment.model, assessment.posterior.marginals()
    likeliest = max(model.elements_of.get(fault, ()), key=marginals.__getitem__, default=None)
    return None if likeliest is None else model.rule_for(piece.evidence.name, likeliest, piece.facts)


def predictions(assessment: Assessment, measurement: str, most: int = 3) -> tuple[Prediction, ...]:
    """What each of the likeliest causes would make the reading show, symptom present."""
    model, posterior = assessment.model, assessment.posterior
    state = assessment.repair_states[-1]
    gone: frozenset[int] = frozenset() if state.symptom_persists else state.elements
    ranked = sorted(posterior.fault_marginals().items(), key=lambda item: (-item[1], item[0]))
    found: list[Prediction] = []
    for fault, chance in ranked:
        if len(found) == most:
            break
        left = [index for index in model.elements_of[fault] if index not in gone]
        if left:
            found.append(_prediction(assessment, measurement, fault, chance, left))
    return tuple(found)


def _prediction(
    assessment: Assessment, measurement: str, fault: str, chance: float, left: list[int]
) -> Prediction:
    """What the degrees of a fault that are left make of a reading, each by its chance."""
    model, facts = assessment.model, assessment.now.facts
    marginals = assessment.posterior.marginals()
    table = model.table(measurement, facts)
    whole = sum(marginals[index] for index in left) or 1.0
    weights = {index: marginals[index] / whole for index in left}
    rows = [(weight, table.chances(table.row_of((index,)))) for index, weight in weights.items()]
    bands = model.measurements[measurement].bands
    row = [sum(weight * chances[band] for weight, chances in rows) for band in range(len(bands))]
    rule = model.rule_for(measurement, max(left, key=marginals.__getitem__), facts)
    return Prediction(
        fault,
        chance,
        dict(zip(bands, row, strict=True)),
        expected_of(table, weights) if isinstance(table, MeterTable) else None,
        None if rule is None else rule.id,
        "" if rule is None else rule.because,
        () if rule is None else rule.sources,
    )


def ruled_out(
    assessment: Assessment, least_before: float = 0.01, most_now: float = 0.01
) -> tuple[RuledOut, ...]:
    """Faults that the complaint alone left thinkable and the readings have not.

    Args:
        least_before: chance on the observations of the complaint alone that counts as thinkable.
        most_now: chance below which a fault counts as ruled out.
    """
    used = assessment.used
    complaint = [p for p in used if p.taken is not None and SYMPTOM_KIND in p.taken.measurement.kinds]
    before = assessment.posterior_of(complaint).fault_marginals()
    now = assessment.posterior.fault_marginals()
    found = []
    for fault, chance in sorted(before.items(), key=lambda item: -item[1]):
        if chance >= least_before and now[fault] < most_now:
            against = [r for r in reasons(assessment, fault) if r.factor < 1.0 and r.measurement is not None]
            if against:
                found.append(RuledOut(fault, chance, now[fault], against[0]))
    return tuple(found)
