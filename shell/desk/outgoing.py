"""What is sent for the question that is asked now; a pure function of the case."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from crankpath.engine.errors import CaseError
from crankpath.shell.desk.exchange import cautions_sent, step_number
from crankpath.shell.outlets.messages import (
    in_parts,
    plain,
    proof_message,
    reading_message,
    repair_message,
    step_message,
    whole_message,
)
from crankpath.shell.outlets.messages.needed import proof_of
from crankpath.shell.session.input.guesses import when_facts
from crankpath.shell.session.questions import (
    AskComplaint,
    AskCranks,
    AskCured,
    AskFailing,
    AskMachine,
    AskMind,
    AskReading,
    AskRepair,
    AskSafe,
    AskWhen,
    Question,
)
from crankpath.shell.session.screens.listing import event_words
from crankpath.shell.session.state import CaseState


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A message in its parts, what its answer must bring, the reading asked for, the cautions in it."""

    parts: tuple[str, ...]
    waits_for: str
    measurement: str | None = None
    cautions: tuple[str, ...] = ()


def outgoing(
    state: CaseState, asked: Question, limit: int, measurement: str | None = None, whole: bool = False
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
    name = measurement or asked_reading(asked)
    waits = waits_for(state, asked, name)
    parts = _whole(state, name) if whole else _parts(state, asked, limit, measurement)
    text = " ".join(parts)
    cautions = tuple(
        c.id for c in state.kb.cautions.values() if plain(c.short) in text or plain(c.text) in text
    )
    return Outgoing(parts, waits, name, cautions)


def asked_reading(asked: Question) -> str | None:
    """The reading that a question asks for."""
    return asked.measurement if isinstance(asked, AskReading | AskSafe) else None


def waits_for(state: CaseState, asked: Question, measurement: str | None) -> str:
    """What the answer to a message must bring."""
    if measurement is not None:
        return state.kb.measurements[measurement].label
    if isinstance(asked, AskRepair | AskMind):
        return f"repair: {state.kb.repairs[asked.repair].label}"
    if isinstance(asked, AskCured | AskCranks):
        return f"proof of: {state.kb.repairs[asked.repair].label}"
    return "an answer"


def _whole(state: CaseState, measurement: str | None) -> tuple[str, ...]:
    return tuple(whole_message(state.case, measurement).splitlines())


def _parts(state: CaseState, asked: Question, limit: int, measurement: str | None) -> tuple[str, ...]:
    case, number, told = state.case, step_number(state.events), cautions_sent(state.events)
    pending = state.repair_pending
    if measurement is not None:
        return reading_message(case, measurement, limit, number, told)
    match asked:
        case AskReading() | AskSafe() if pending is not None and _proves(state, asked, pending.repair):
            return proof_message(case, pending.repair, limit, number, told)
        case AskReading(measurement=name) | AskSafe(measurement=name):
            return reading_message(case, name, limit, number, told)
        case AskCured(repair=repair) | AskCranks(repair=repair):
            return proof_message(case, repair, limit, number, told)
        case AskRepair(repair=repair) | AskMind(repair=repair):
            return _repair(state, repair, limit, number)
        case AskComplaint() | AskMachine() | AskWhen() | AskFailing():
            return in_parts((), tuple(_opening(state, asked)), limit)
        case _:
            return step_message(case, limit, number, told)


def _proves(state: CaseState, asked: AskReading | AskSafe, repair: str) -> bool:
    proof = proof_of(state.case, repair)
    return proof is not None and proof.id == asked.measurement


def _repair(state: CaseState, repair: str, limit: int, number: int) -> tuple[str, ...]:
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
    return repair_message(case, verdict, limit, number)


def _opening(state: CaseState, asked: Question) -> Iterator[str]:
    """The questions by which a case is taken."""
    kb = state.kb
    when = when_facts(kb)
    match asked:
        case AskComplaint():
            yield "What does the operator say it does? Send the operator's own words."
        case AskWhen():
            yield "When is it worst?"
            yield f"Reply: {', '.join(fact.label for fact in when)}, or not known."
        case AskFailing(event=event):
            yield f"Was it failing while you read this: {event_words(kb, event)}?"
            yield "Reply: yes, or no."
        case _:
            yield "Which machine is it?"
            yield from (fact.ask for fact in kb.equipment.values() if fact.ask and not fact.optional)
