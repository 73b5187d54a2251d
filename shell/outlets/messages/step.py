"""The next step of a case as a message: a reading, a repair, its proof, or that nothing fits."""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.advice.advisor import Verdict
from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError, UnknownName
from crankpath.engine.knowledge.problems import near
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.messages.needed import (
    AWAY,
    FAILING,
    answer_example,
    asks_whether_it_failed,
    cautions_for,
    choices,
    proof_of,
    setups_for,
)
from crankpath.shell.outlets.messages.parts import USUAL_LIMIT, in_parts
from crankpath.shell.outlets.messages.watch_card import watch_card
from crankpath.shell.outlets.messages.watching import watch_message
from crankpath.shell.outlets.reports.words import holds_for, left_words, percent
from crankpath.shell.session.screens.figures import limit_words

NOBODY: frozenset[str] = frozenset()


def step_message(
    case: Case, limit: int = USUAL_LIMIT, number: int | None = None, told: frozenset[str] = NOBODY
) -> tuple[str, ...]:
    """What to do next, in parts to be sent in this order.

    Args:
        case: the case as it stands.
        limit: characters of one part.
        number: of the step, to be said in front.
        told: cautions that were sent in this case; those of finished preparations are not repeated.

    Raises:
        CaseError: the limit is too small, or there is nothing left to do.
    """
    repairs = case.assessment.repairs
    if repairs and repairs[-1].cured is None:
        return proof_message(case, repairs[-1].repair, limit, number, told)
    if repairs and repairs[-1].cured:
        return in_parts((), tuple(_cured(case, repairs[-1].repair, number)), limit)
    verdict = case.verdict()
    if verdict.action == "repair" and verdict.repair is not None:
        return repair_message(case, verdict, limit, number)
    if verdict.action == "measure" and verdict.measurement is not None:
        first, then = reading_sentences(case, verdict.measurement, number, told)
        left = left_words(case.progress())
        return in_parts(first, (*then, f"To a repair: {left}.") if left else then, limit)
    if verdict.action == "watch":
        return watch_message(watch_card(case), limit, number)
    if verdict.action == "stop":
        return in_parts(stop_sentences(case, number), ("Reply: what was found, when that is done.",), limit)
    return _stuck(case, verdict, limit, number, told)


def reading_message(
    case: Case, measurement: str, limit: int = USUAL_LIMIT, number: int | None = None,
    told: frozenset[str] = NOBODY,
) -> tuple[str, ...]:  # fmt: skip
    """One reading: cautions, what must be ready, what to read, where the leads go, what to answer.

    Raises:
        UnknownName: no such reading; CaseError: not on this machine, or the limit is too small.
    """
    return in_parts(*reading_sentences(case, measurement, number, told), limit)


def reading_sentences(
    case: Case, measurement: str, number: int | None = None, told: frozenset[str] = NOBODY
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What must be known before the reading, and what is to be done; raises as `reading_message`."""
    m = known_reading(case, measurement)
    head = f"NEXT: {m.label}." if number is None else _head(number, f"{m.label}.")
    return (*_stops(case), head, *_safety(case, cautions_for(case, m, told))), tuple(_reading(case, m))


def known_reading(case: Case, measurement: str) -> Measurement:
    """The reading on this machine.

    Raises:
        UnknownName: there is no such reading; CaseError: this machine has nothing to read there, or it
            must not be taken now.
    """
    if measurement not in case.kb.measurements:
        hint = near(measurement, case.kb.measurements)
        raise UnknownName(f"There is no measurement '{measurement}'. {hint}".rstrip())
    here = case.assessment.model.measurements
    if measurement not in here:
        label = case.kb.measurements[measurement].label
        raise CaseError(f"This machine has no {label} to read: its equipment says there is no such part.")
    forbidden = case.guard.reading(here[measurement])
    if forbidden:
        raise CaseError(f"STOP: {here[measurement].label} must not be taken now. {forbidden[0].text}")
    return here[measurement]


def stop_sentences(case: Case, number: int | None = None) -> tuple[str, ...]:
    """Why nothing more may be done here now, and what must happen first."""
    reasons = dict.fromkeys((*case.stops(), case.verdict().because))
    return (*(f"STOP: {text}" for text in reasons if text), _head(number, "Nothing else until then."))


def _stops(case: Case) -> Iterator[str]:
    yield from (f"STOP: {text}" for text in case.stops())


def repair_message(
    case: Case, verdict: Verdict, limit: int = USUAL_LIMIT, number: int | None = None
) -> tuple[str, ...]:
    """The repair that is proven, why, what is dangerous about it, and how it will be proven.

    Raises:
        CaseError: the verdict names no repair, or the limit is too small.
    """
    if verdict.repair is None:
        raise CaseError("There is no repair to send yet. Send the next reading.")
    kb = case.kb
    repair = kb.repairs[verdict.repair]
    proven = verdict.probability >= kb.settings["proven_at"]
    faults = " or ".join(kb.faults[fault].label for fault in verdict.faults[:2])
    first = (
        *_stops(case),
        _head(number, f"REPAIR: {repair.label}."),
        f"Cause: {faults} ({percent(verdict.probability)}{'' if proven else ', not proven'}).",
        *_safety(case, case.guard.cautions_of_repair(repair, verdict.faults[:2])),
    )
    then = ["Do the repair."]
    proof = proof_of(case, repair.id)
    if proof is not None:
        then.append(f"Proof after it: {proof.label}{_limit(case, proof)}.")
    return in_parts(first, (*then, "Reply: done, or what is in the way."), limit)


def proof_message(
    case: Case, repair: str, limit: int = USUAL_LIMIT, number: int | None = None,
    told: frozenset[str] = NOBODY,
) -> tuple[str, ...]:  # fmt: skip
    """How to prove a repair that was made: the reading again, and enough good cranks in a row."""
    label = case.kb.repairs[repair].label
    head = _head(number, f"PROOF of the repair: {label}.")
    m = proof_of(case, repair)
    if m is None:
        tries = () if case.guard.tries else case.guard.cautions_of_tries()
        return in_parts((*_stops(case), head, *_safety(case, tries)), tuple(tries_after(case)), limit)
    first = (*_stops(case), head, *_safety(case, cautions_for(case, m, told)))
    passes = limit_words(m, case.assessment.now.facts)
    then = [*_reading(case, m), *([f"Pass: {passes}."] if passes and m.numeric else []), *tries_after(case)]
    return in_parts(first, then, limit)


def _stuck(
    case: Case, verdict: Verdict, limit: int, number: int | None, told: frozenset[str]
) -> tuple[str, ...]:
    head = _head(number, "STUCK: nothing listed explains the readings. Replace nothing.")
    if verdict.measurement is None or verdict.measurement not in case.assessment.model.measurements:
        return in_parts((*_stops(case), head), ("Reply: what you see, hear and smell in start.",), limit)
    m = case.assessment.model.measurements[verdict.measurement]
    first = (*_stops(case), head, *_safety(case, cautions_for(case, m, told)))
    again = f"Take {m.label} again: it fits the other readings worst."
    return in_parts(first, (again, *_reading(case, m)), limit)


def _cured(case: Case, repair: str, number: int | None) -> Iterator[str]:
    yield _head(number, f"CURED by: {case.kb.repairs[repair].label}.")
    yield "Put back what was taken off or unplugged for the readings. Nothing more to read."


def _head(number: int | None, text: str) -> str:
    return text if number is None else f"Step {number}: {text}"


def _safety(case: Case, cautions: tuple[str, ...]) -> Iterator[str]:
    for place, name in enumerate(cautions):
        short = case.kb.cautions[name].short
        yield f"SAFETY: {short}" if place == 0 else short


def _reading(case: Case, m: Measurement) -> Iterator[str]:
    ready = [setup.label for setup in setups_for(case, m)]
    if ready:
        yield f"Ready first: {', '.join(ready)}."
    state = case.kb.states[m.state]
    if m.numeric:
        yield f"Read {m.label} ({m.unit}), {state.label}."
    else:
        yield m.asks
    if has_leads(m):
        yield m.leads
    name, example = answer_example(case, m)
    yield f"Reply e.g. {example}."
    if not m.numeric:
        yield f"Choices: {choices(m)}."
    if asks_whether_it_failed(case, m):
        yield f"Add: {FAILING}, or: {AWAY}."
    yield f"Not possible: {name} n/a."


def has_leads(m: Measurement) -> bool:
    """False where the knowledge base says that no lead goes anywhere."""
    return m.leads.strip(" .").casefold() not in ("", "none")


def tries_after(case: Case) -> Iterator[str]:
    """What a repair must stand at the key before it is proven."""
    if case.guard.tries:
        yield "No try at the key until then."
        return
    proof = case.crank_proof()
    if proof is not None:
        yield f"Then {proof.cranks} tries at the key, with rests; all must be good ({holds_for(proof)})."
        yield f"Reply e.g. failed 0 of {proof.cranks}."
    else:
        yield "Then crank once more. Reply: cured, or not cured."


def _limit(case: Case, m: Measurement) -> str:
    words = limit_words(m, case.assessment.now.facts)
    return f", {words}" if words and m.numeric else ""
