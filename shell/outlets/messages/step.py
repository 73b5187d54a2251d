"""The next step of a case as a message: a reading, a repair, its proof, or that nothing fits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from crankpath.engine.advice.advisor import Verdict
from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError, UnknownName
from crankpath.engine.knowledge.problems import near
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.messages.parts import USUAL_LIMIT, in_parts
from crankpath.shell.outlets.messages.preparations import (
    FAILING,
    answer_example,
    asks_whether_it_failed,
    cautions_for,
    choices,
    example_value,
    in_order,
    setups_for,
)
from crankpath.shell.outlets.messages.watch_card import watch_card
from crankpath.shell.outlets.messages.watching import watch_message
from crankpath.shell.outlets.reports.words import holds_for, left_words, percent
from crankpath.shell.session.screens.figures import limit_words

NOBODY: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class MessageStep:
    """What a message says of itself. said: in front of it. reference: what its reply begins with."""

    said: str = ""
    reference: str = ""

    def head(self, text: str) -> str:
        """The first sentence."""
        return f"{self.said}: {text}" if self.said else text

    def reply(self, example: str) -> str:
        """A reply as it can be sent back."""
        return f"{self.reference} {example}" if self.reference else example


ALONE: Final = MessageStep()
"""A message of which nothing is said in front."""


def step_message(
    case: Case, limit: int = USUAL_LIMIT, step: MessageStep = ALONE, told: frozenset[str] = NOBODY
) -> tuple[str, ...]:
    """What to do next, in parts to be sent in this order.

    Args:
        case: the case as it stands.
        limit: characters of one part.
        step: what the message says of itself.
        told: cautions that were sent in this case; those of finished preparations are not repeated.

    Raises:
        CaseError: the limit is too small, or there is nothing left to do.
    """
    repairs = case.assessment.repairs
    if repairs and repairs[-1].cured is None:
        return proof_message(case, repairs[-1].repair, limit, step, told)
    if repairs and repairs[-1].cured:
        return in_parts((), tuple(_cured(case, repairs[-1].repair, step)), limit)
    verdict = case.verdict()
    if verdict.action == "repair" and verdict.repair is not None:
        return repair_message(case, verdict, limit, step)
    if verdict.action == "measure":
        first, then = reading_sentences(case, in_order(case, verdict.together), step, told)
        left = left_words(case.progress())
        return in_parts(first, (*then, f"To a repair: {left}.") if left else then, limit)
    if verdict.action == "watch":
        return watch_message(watch_card(case), limit, step.said)
    if verdict.action == "stop":
        return in_parts(stop_sentences(case, step), ("Reply: what was found, when that is done.",), limit)
    return _stuck(case, verdict, limit, step, told)


def reading_message(
    case: Case, measurements: Sequence[str], limit: int = USUAL_LIMIT, step: MessageStep = ALONE,
    told: frozenset[str] = NOBODY,
) -> tuple[str, ...]:  # fmt: skip
    """One reading or several: cautions, what must be ready, what to read, where leads go, what to answer.

    Raises:
        UnknownName: no such reading; CaseError: not on this machine, or the limit is too small.
    """
    return in_parts(*reading_sentences(case, measurements, step, told), limit)


def reading_sentences(
    case: Case, measurements: Sequence[str], step: MessageStep = ALONE, told: frozenset[str] = NOBODY
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What must be known before the readings, and what is to be done; raises as `reading_message`."""
    asked = [known_reading(case, name) for name in measurements]
    label = f"{asked[0].label}." if len(asked) == 1 else f"{len(asked)} readings, in this order."
    cautions = tuple(dict.fromkeys(c for m in asked for c in cautions_for(case, m, told)))
    head = step.head(label) if step.said else f"NEXT: {label}"
    return (*_stops(case), head, *safety(case, cautions)), tuple(_readings(case, asked, step))


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


def stop_sentences(case: Case, step: MessageStep = ALONE) -> tuple[str, ...]:
    """Why nothing more may be done here now, and what must happen first."""
    reasons = dict.fromkeys((*case.stops(), case.verdict().because))
    return (*(f"STOP: {text}" for text in reasons if text), step.head("Nothing else until then."))


def _stops(case: Case) -> Iterator[str]:
    yield from (f"STOP: {text}" for text in case.stops())


def repair_message(
    case: Case, verdict: Verdict, limit: int = USUAL_LIMIT, step: MessageStep = ALONE
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
        step.head(f"REPAIR: {repair.label}."),
        f"Cause: {faults} ({percent(verdict.probability)}{'' if proven else ', not proven'}).",
        *safety(case, case.guard.cautions_of_repair(repair, verdict.faults[:2])),
    )
    then = ["Do the repair."]
    proof = case.advisor.proof_reading(repair.id)
    if proof is not None:
        then.append(f"Proof after it: {proof.label}{_limit(case, proof)}.")
    return in_parts(first, (*then, f"Reply: {step.reply('done')}, or what is in the way."), limit)


def proof_message(
    case: Case, repair: str, limit: int = USUAL_LIMIT, step: MessageStep = ALONE,
    told: frozenset[str] = NOBODY,
) -> tuple[str, ...]:  # fmt: skip
    """How to prove a repair that was made: the reading again, and enough good cranks in a row."""
    label = case.kb.repairs[repair].label
    head = step.head(f"PROOF of the repair: {label}.")
    m = case.advisor.proof_reading(repair)
    if m is None:
        tries = () if case.guard.tries else case.guard.cautions_of_tries()
        return in_parts((*_stops(case), head, *safety(case, tries)), tuple(tries_after(case)), limit)
    first = (*_stops(case), head, *safety(case, cautions_for(case, m, told)))
    passes = limit_words(m, case.advisor.facts_repaired)
    limits = [f"Pass: {passes}."] if passes and m.numeric else []
    return in_parts(first, (*_readings(case, [m], step), *limits, *tries_after(case)), limit)


def _stuck(
    case: Case, verdict: Verdict, limit: int, step: MessageStep, told: frozenset[str]
) -> tuple[str, ...]:
    head = step.head("STUCK: nothing listed explains the readings. Replace nothing.")
    if verdict.measurement is None or verdict.measurement not in case.assessment.model.measurements:
        return in_parts((*_stops(case), head), ("Reply: what you see, hear and smell in start.",), limit)
    m = case.assessment.model.measurements[verdict.measurement]
    first = (*_stops(case), head, *safety(case, cautions_for(case, m, told)))
    again = f"Take {m.label} again: it fits the other readings worst."
    return in_parts(first, (again, *_readings(case, [m], step)), limit)


def _cured(case: Case, repair: str, step: MessageStep) -> Iterator[str]:
    yield step.head(f"CURED by: {case.kb.repairs[repair].label}.")
    yield "Put back what was taken off or unplugged for the readings. Nothing more to read."


def safety(case: Case, cautions: Sequence[str]) -> Iterator[str]:
    """The cautions in short, numbered where there are several."""
    for number, name in enumerate(cautions, 1):
        short = case.kb.cautions[name].short
        numbered = f"S{number} {short}" if len(cautions) > 1 else short
        yield f"SAFETY: {numbered}" if number == 1 else numbered


def _readings(case: Case, asked: Sequence[Measurement], step: MessageStep) -> Iterator[str]:
    """What is made ready, each reading with its leads, and how to answer; several are numbered."""
    ready = dict.fromkeys(setup.label for m in asked for setup in setups_for(case, m))
    if ready:
        yield f"Ready first: {', '.join(ready)}."
    several = len(asked) > 1
    for number, m in enumerate(asked, 1):
        what = f"Read {m.label} ({m.unit}), {case.kb.states[m.state].label}." if m.numeric else m.asks
        yield f"{number}) {what}" if several else what
        if has_leads(m):
            yield m.leads
        if several and not m.numeric:
            yield f"Choices: {choices(m)}."
    name, _ = answer_example(case, asked[0])
    answers = [example_value(case, m) if several else answer_example(case, m)[1] for m in asked]
    numbered = ", ".join(f"{n} {answer}" for n, answer in enumerate(answers, 1)) if several else answers[0]
    yield f"Reply e.g. {step.reply(numbered)}."
    if not several and not asked[0].numeric:
        yield f"Choices: {choices(asked[0])}."
    if any(asks_whether_it_failed(case, m) for m in asked):
        yield f"Add{' to each' if several else ''}: {FAILING}, or: {case.kb.about.went_well}."
    yield f"Not possible: {'2' if several else name} n/a."


def has_leads(m: Measurement) -> bool:
    """False where the knowledge base says that no lead goes anywhere."""
    return m.leads.strip(" .").casefold() not in ("", "none")


def tries_after(case: Case) -> Iterator[str]:
    """What a repair must stand before it is proven."""
    if case.guard.tries:
        yield "No try until then."
        return
    proof = case.crank_proof()
    if proof is not None:
        yield f"Then {proof.cranks} tries, with rests; all must be good ({holds_for(proof)})."
        yield f"Reply e.g. failed 0 of {proof.cranks}."
    else:
        yield "Then one more try. Reply: cured, or not cured."


def _limit(case: Case, m: Measurement) -> str:
    words = limit_words(m, case.advisor.facts_repaired)
    return f", {words}" if words and m.numeric else ""
