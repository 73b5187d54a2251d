"""What a card for the phone shows: one reading or one repair, as plain records."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Measurement, Setup
from crankpath.shell.outlets.drawing.picture import Picture, picture
from crankpath.shell.outlets.messages.preparations import (
    PreparationStep,
    answer_example,
    cautions_for,
    preparation_steps,
    setups_for,
)  # fmt: skip
from crankpath.shell.outlets.messages.step import has_leads, known_reading
from crankpath.shell.outlets.pages.card_answer import CURED, DONE, Answer, answer_of
from crankpath.shell.outlets.pages.sheet.data import CautionLine
from crankpath.shell.outlets.reports.readings import range_parts, value_words
from crankpath.shell.outlets.reports.words import fault_label, holds_for, percent
from crankpath.shell.session.screens.figures import limit_words


@dataclass(frozen=True, slots=True)
class Lead:
    """Where one lead goes."""

    label: str
    touch: str


@dataclass(frozen=True, slots=True)
class CardExpectation:
    """What a likely cause would make the reading show: a range or a value, how often, and what else."""

    cause: str
    range: str
    shares: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WayLine:
    """One way to get ready."""

    label: str
    how: str
    suits: str
    risk: str


@dataclass(frozen=True, slots=True)
class SetupLine:
    """Work to be done first."""

    label: str
    minutes: str
    ways: tuple[WayLine, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """What is done at once, and the cautions to be seen before it: set-ups, or one step of a repair."""

    cautions: tuple[CautionLine, ...]
    setups: tuple[SetupLine, ...] = ()
    step: str = ""


@dataclass(frozen=True, slots=True)
class Card:
    """The card. ready: the work before a reading. work: steps of a repair.

    picture: the circuit with the leads marked; None where there is nothing to mark.
    cautions: what goes with the reading itself, or with a repair as a whole.
    example: an answer in words, for a phone that runs no script. answer: what can be tapped.
    stops: why some or all acts must not be done now; shown before anything else.
    """

    name: str
    purpose: str
    title: str
    asks: str
    cautions: tuple[CautionLine, ...]
    example: str
    version: str
    answer: Answer = field(default_factory=Answer)
    ready: tuple[Stage, ...] = ()
    work: tuple[Stage, ...] = ()
    reading: str = ""
    state: str = ""
    meter: str = ""
    leads: tuple[Lead, ...] = ()
    leads_said: str = ""
    steps: tuple[str, ...] = ()
    misleads: str = ""
    limit: str = ""
    expected: tuple[CardExpectation, ...] = ()
    cranks: str = ""
    picture: Picture | None = None
    stops: tuple[str, ...] = ()


def card_of(case: Case, measurement: str | None = None, name: str = "") -> Card:
    """The card of the reading that is named, or of the next step.

    Raises:
        UnknownName, CaseError: no such reading here, or there is nothing left to do.
    """
    return replace(_card(case, measurement, name), stops=case.stops())


def _card(case: Case, measurement: str | None, name: str) -> Card:
    if measurement is not None:
        return _reading(case, known_reading(case, measurement), name, "reading")
    repairs, verdict = case.assessment.repairs, case.verdict()
    if repairs and repairs[-1].cured:
        raise CaseError("The repair is proven; there is no next step. Name a reading to make a card of.")
    if repairs and repairs[-1].cured is None:
        return _proof(case, repairs[-1].repair, name)
    if verdict.action == "repair" and verdict.repair is not None:
        return _repair(case, verdict.repair, verdict.faults, name)
    if verdict.action == "stop":
        answer = "what was found, when that is done"
        return Card(name, "stop", "Nothing else until then", verdict.because, (), answer, case.kb.version)
    if verdict.measurement is None:
        raise CaseError("Nothing listed explains the readings, and there is none to take again.")
    purpose = "nothing listed fits: read again" if verdict.action == "stuck" else "next reading"
    return _reading(case, known_reading(case, verdict.measurement), name, purpose)


def _reading(case: Case, m: Measurement, name: str, purpose: str) -> Card:
    kb = case.kb
    setups = [setup.id for setup in setups_for(case, m, every=True)]
    *ready, last = preparation_steps(case, setups, cautions_for(case, m, every=True))
    if last.setups:
        ready, last = [*ready, last], PreparationStep((), ())
    now = dict.fromkeys((*last.cautions, *case.guard.cautions_while_reading(m)))
    _, example = answer_example(case, m)
    points = [kb.points[point] for point in m.between or ()]
    return Card(
        name=name,
        purpose=purpose,
        title=m.label,
        asks=m.asks,
        cautions=_cautions(case, tuple(now)),
        example=f"e.g. {example}",
        version=kb.version,
        answer=answer_of(case, m),
        reading=m.id,
        ready=tuple(
            Stage(_cautions(case, step.cautions), tuple(_setup(case, kb.setups[s]) for s in step.setups))
            for step in ready
        ),
        state=kb.states[m.state].label,
        meter=m.meter if m.numeric else "",
        leads=tuple(Lead(point.label, point.touch) for point in points),
        leads_said=m.leads if has_leads(m) else "",
        steps=m.steps,
        misleads=m.misleads,
        limit=(limit_words(m, case.assessment.now.facts) or "") if m.numeric else "",
        expected=tuple(_expected(case, m)),
        picture=_picture(case, m),
    )


def _proof(case: Case, repair: str, name: str) -> Card:
    m = case.advisor.proof_reading(repair)
    label = case.kb.repairs[repair].label
    proof = case.crank_proof()
    then = "No try until then." if case.guard.tries else (
        f"Then {proof.cranks} tries, with rests; all must be good ({holds_for(proof)}). "
        f"Send: failed 0 of {proof.cranks}."
        if proof is not None
        else "Then one more try, and send: cured, or not cured."
    )
    tries = 0 if proof is None or case.guard.tries else proof.cranks
    outcomes = () if tries or case.guard.tries else CURED
    if m is None:
        ids = () if case.guard.tries else case.guard.cautions_of_tries()
        answer = Answer(outcomes=outcomes, tries=tries)
        said = _cautions(case, ids)
        return Card(name, "proof of the repair", label, "", said, then, case.kb.version, answer)
    card = _reading(case, m, name, f"proof of the repair: {label}")
    answer = replace(card.answer, outcomes=outcomes, tries=tries)
    return replace(card, cranks=then, answer=answer)


def _repair(case: Case, repair: str, faults: tuple[str, ...], name: str) -> Card:
    kb = case.kb
    entry = kb.repairs[repair]
    guard = case.guard
    why = " or ".join(kb.faults[fault].label for fault in faults[:2])
    proof = case.advisor.proof_reading(repair)
    after = f"Proof after it: {proof.label}." if proof is not None else ""
    return Card(
        name=name,
        purpose="repair",
        title=entry.label,
        asks=f"Cause: {why} ({percent(case.verdict().probability)}). {after}".rstrip(),
        cautions=_cautions(case, guard.cautions_before(entry, faults[:2])),
        example="done, or what is in the way",
        version=kb.version,
        answer=DONE,
        work=tuple(
            Stage(_cautions(case, s.cautions), step=s.text) for s in guard.steps(entry, faults[:2])
        ),
    )


def _cautions(case: Case, ids: tuple[str, ...]) -> tuple[CautionLine, ...]:
    known = [case.kb.cautions[name] for name in ids]
    return tuple(CautionLine(caution.id, caution.short, caution.text) for caution in known)


def _setup(case: Case, setup: Setup) -> SetupLine:
    ways = case.guard.ways(setup)
    return SetupLine(
        setup.label, f"{setup.minutes:g}", tuple(WayLine(w.label, w.how, w.suits, w.risk) for w in ways)
    )


def _expected(case: Case, m: Measurement) -> Iterator[CardExpectation]:
    for prediction in case.predictions(m.id):
        label = fault_label(case.kb, prediction.fault)
        if prediction.expected is None:
            value = prediction.likeliest
            yield CardExpectation(label, value_words(m, value), (percent(prediction.chances[value]),))
        else:
            (first, chance), *others = range_parts(prediction.expected, m.unit or "")
            shares = [f"{text} {percent(share)}" for text, share in others]
            yield CardExpectation(label, first, (percent(chance), *shares) if others else ())


def _picture(case: Case, m: Measurement) -> Picture | None:
    if m.between is None:
        return None
    try:
        return picture(case.kb, case.assessment.model.circuit, m)
    except ValueError:
        return None
