"""What is sent for the question that is asked now; a pure function of the case."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from crankpath.engine.errors import CaseError
from crankpath.shell.desk.exchange import cautions_sent, reference, step_number
from crankpath.shell.outlets.messages import (
    MessageStep,
    in_basic_letters,
    in_parts,
    proof_message,
    reading_message,
    repair_message,
    step_message,
    whole_message,
)
from crankpath.shell.outlets.messages.preparations import in_order
from crankpath.shell.outlets.messages.watch_card import USUAL_METERS, WatchCard, watch_card
from crankpath.shell.outlets.messages.watching import watch_message
from crankpath.shell.session import questions as q
from crankpath.shell.session.input.guesses import when_facts
from crankpath.shell.session.screens.listing import event_words
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.standing import standing_watch
from crankpath.shell.text.clean import one_line

_ABOUT = 40  # letters of the machine and the case in front of a message


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A message in its parts.

    waits_for: what its answer must bring. measurements: the readings it asks for, in the order of its
    questions. cautions: those in it. number: of the step.
    """

    parts: tuple[str, ...]
    waits_for: str
    measurements: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    number: int = 1


def outgoing(
    state: CaseState, asked: q.Question, limit: int, measurement: str | None = None, whole: bool = False
) -> Outgoing:
    """The next step as a message.

    Args:
        state: the case.
        asked: the question that stands.
        limit: characters of one part; not for the whole procedure.
        measurement: a reading of the advisor's choice instead.
        whole: the whole procedure, in one piece.

    Raises:
        CaseError: there is nothing to send, or the limit is too small.
    """
    names = (measurement,) if measurement else asked_readings(state, asked)
    waits = answer_awaited(state, asked, names)
    number = step_number(state.events, names, waits)
    step = step_of(state, number)
    if whole:
        lines = whole_message(state.case, *names).splitlines()
        parts: tuple[str, ...] = (step.head(lines[0]), *lines[1:])
    elif measurement is None and q.waits_to_fail(asked):
        parts = watch_message(cab_card(state), limit, step.said)
    else:
        parts = _parts(state, asked, limit, names if names != (asked_reading(asked),) else (), step)
    text = " ".join(parts)
    cautions = tuple(
        c.id
        for c in state.kb.cautions.values()
        if in_basic_letters(c.short) in text or in_basic_letters(c.text) in text
    )
    return Outgoing(parts, waits, names, cautions, number)


def cab_card(state: CaseState, meters: int | None = None, name: str = "") -> WatchCard:
    """The card for the cab: of what stays connected already, or of so many meters.

    Raises:
        CaseError: there is nothing to wait for.
    """
    standing, left_on = standing_watch(state.events), () if meters else q.still_on(state)
    call, look_again = (standing.call, standing.until) if standing else ("", "")
    named = name or one_line(state.machine or state.name, _ABOUT)
    return watch_card(state.case, meters or USUAL_METERS, named, call, left_on, look_again)


def step_of(state: CaseState, number: int) -> MessageStep:
    """What a message says of itself: the machine, or else the case, and what stands for the step."""
    mark = reference(state.id, number)
    about = one_line(state.machine or state.name, _ABOUT)
    return MessageStep(", ".join(filter(None, (about, mark or f"step {number}"))), mark)


def asked_reading(asked: q.Question) -> str | None:
    """The reading that a question asks for."""
    return asked.measurement if isinstance(asked, q.AskReading | q.AskSafe) else None


def asked_readings(state: CaseState, asked: q.Question) -> tuple[str, ...]:
    """The readings that a message asks for: the one of the question and those worth taking with it."""
    name, verdict = asked_reading(asked), state.case.verdict()
    if q.waits_to_fail(asked):
        return q.still_on(state) or verdict.together
    if name is None:
        return ()
    if state.repair_pending is None and name == verdict.measurement and name in verdict.together:
        others = [m for m in verdict.together if m == name or m not in state.skipped]
        return in_order(state.case, others)
    return (name,)


def answer_awaited(state: CaseState, asked: q.Question, measurements: Sequence[str]) -> str:
    """What the answer to a message must bring."""
    if measurements:
        return ", ".join(state.kb.measurements[name].label for name in measurements)
    if isinstance(asked, q.AskRepair | q.AskCautions):
        return f"repair: {state.kb.repairs[asked.repair].label}"
    if isinstance(asked, q.AskCured | q.AskCranks):
        return f"proof of: {state.kb.repairs[asked.repair].label}"
    return "an answer"


def _parts(
    state: CaseState, asked: q.Question, limit: int, others: Sequence[str], step: MessageStep
) -> tuple[str, ...]:
    """The message of the question, or of other readings than its own."""
    case, told, pending = state.case, cautions_sent(state.events), state.repair_pending
    if others:
        return reading_message(case, others, limit, step, told)
    match asked:
        case q.AskReading() | q.AskSafe() if pending is not None and _proves(state, asked, pending.repair):
            return proof_message(case, pending.repair, limit, step, told)
        case q.AskReading(measurement=name) | q.AskSafe(measurement=name):
            return reading_message(case, [name], limit, step, told)
        case q.AskCured(repair=repair) | q.AskCranks(repair=repair):
            return proof_message(case, repair, limit, step, told)
        case q.AskRepair(repair=repair) | q.AskCautions(repair=repair):
            return _repair(state, repair, limit, step)
        case q.AskComplaint() | q.AskMachine() | q.AskWhen() | q.AskFailing():
            return in_parts((), (step.head(""), *_opening(state, asked)), limit)
        case _:
            return step_message(case, limit, step, told)


def _proves(state: CaseState, asked: q.AskReading | q.AskSafe, repair: str) -> bool:
    proof = state.case.advisor.proof_reading(repair)
    return proof is not None and proof.id == asked.measurement


def _repair(state: CaseState, repair: str, limit: int, step: MessageStep) -> tuple[str, ...]:
    """The repair that is asked for, though it be no verdict but the reason of a fault that was found."""
    case = state.case
    verdict = case.verdict()
    if verdict.repair != repair:
        likely = [c for c in case.causes() if c.fault is not None and c.repair == repair][:1]
        if not likely:
            raise CaseError("There is nothing to send for this repair.")
        verdict = replace(
            verdict,
            action="repair",
            repair=repair,
            faults=tuple(str(c.fault) for c in likely),
            probability=likely[0].probability,
        )
    return repair_message(case, verdict, limit, step)


def _opening(state: CaseState, asked: q.Question) -> Iterator[str]:
    """The questions by which a case is taken."""
    kb = state.kb
    when = when_facts(kb)
    match asked:
        case q.AskComplaint():
            yield "What does the operator say it does? Send the operator's own words."
        case q.AskWhen():
            yield "When is it worst?"
            yield f"Reply: {', '.join(fact.label for fact in when)}, or not known."
        case q.AskFailing(event=event):
            yield f"Did it fail during this reading: {event_words(kb, event)}?"
            yield "Reply: yes, or no."
        case _:
            yield "Which machine is it?"
            yield from (fact.ask for fact in kb.equipment.values() if fact.ask and not fact.optional)
