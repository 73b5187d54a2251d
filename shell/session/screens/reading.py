"""The screen that asks for a reading: where the leads go, what it would tell, what to mind."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.engine.advice.explain import Prediction
from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.outlets.reports.readings import prediction_words, value_words
from crankpath.shell.outlets.reports.words import fault_label, left_words
from crankpath.shell.session.input import guesses
from crankpath.shell.session.questions import (
    AskReading,
)
from crankpath.shell.session.screens.figures import limit_words
from crankpath.shell.session.screens.fitting import ALWAYS, ScreenPart, always
from crankpath.shell.session.screens.leads import leads
from crankpath.shell.session.screens.waiting import bring_on, watch_parts
from crankpath.shell.session.screens.wording import INDENT, aligned, head, name_in, of_complaint, say
from crankpath.shell.session.state import CaseState
from crankpath.shell.text.columns import shortened, wrapped


def reading_parts(state: CaseState, asked: AskReading, width: int) -> list[ScreenPart]:
    """The parts of the screen that asks for a reading."""
    if asked.purpose == "watch":
        return watch_parts(state, asked, width)
    m = state.case.assessment.model.measurements[asked.measurement]
    reason = say(reason_for(state, asked, m, width), width)
    said = of_complaint(m) or m.numeric
    parts = [
        always(head(_title(state.case, asked, m), width)),
        ScreenPart(tuple(say(m.asks, width)), 55) if not said else ScreenPart((), 0),
        ScreenPart(tuple(reason), 90),
        ScreenPart(() if of_complaint(m) else tuple(_left(state.case, asked, width)), 45),
        ScreenPart(tuple(_with_it(state, asked, width)), 85),
        ScreenPart(tuple(leads(state.case, m, width)), 80),
        ScreenPart(tuple(_touch(m, width)), 30 if width < 60 else 50),
        ScreenPart(
            tuple(would_read(state.case, m, width)), 60, tuple(would_read(state.case, m, width, most=2))
        ),
        ScreenPart(
            tuple(_choices(state, m, width)),
            ALWAYS,
            tuple(shortened(choice, width) for choice in _choices(state, m, 200)),
        ),
    ]
    parts += _bring_on(state, m, width)
    cautions = [wrapped(state.kb.cautions[caution].short, width, "! ", "  ") for caution in asked.cautions]
    return parts + [always(lines) for lines in cautions]


_PURPOSE = {
    "next": "Next",
    "chosen": "You chose",
    "proof": "Prove the repair",
    "reason": "Find why it failed",
    "again": "Take again",
}


def _title(case: Case, asked: AskReading, m: Measurement) -> str:
    word = _PURPOSE[asked.purpose]
    if of_complaint(m) and asked.purpose == "next":
        return m.asks
    return f"{word}: {m.label}, {case.advisor.minutes(m):g} min"


def _left(case: Case, asked: AskReading, width: int) -> list[str]:
    """How much is still to be read, where the reading is the advice's own."""
    left = left_words(case.progress()) if asked.purpose == "next" else ""
    return say(f"To a repair: {left}.", width) if left else []


def _with_it(state: CaseState, asked: AskReading, width: int) -> list[str]:
    """What is worth reading at the same time, before the answer is known."""
    measurements = state.case.assessment.model.measurements
    others = [measurements[name].label for name in asked.together if name != asked.measurement]
    said = f"Read at the same time, and type on the same line: {', '.join(others)}."
    return say(said, width) if others else []


def reason_for(state: CaseState, asked: AskReading, m: Measurement, width: int) -> str:
    """Why this reading, in a line: what it decides and what it saves, or what it must show."""
    case = state.case
    if asked.purpose in ("proof", "reason"):
        limit = limit_words(m, case.advisor.facts_repaired)
        must = f"Must read {limit}. " if limit else ""
        return (
            f"{must}{m.asks}" if asked.purpose == "reason" else f"{must}The same reading as before, repaired."
        )
    if of_complaint(m):
        return ""
    verdict = case.verdict()
    if verdict.again and verdict.measurement == m.id:
        return f"{verdict.because[0].upper()}{verdict.because[1:]}."
    worth = next((s for s in case.suggestions() if s.measurement == m.id), None)
    decides = _decides(case, case.predictions(m.id), 99 if width >= 60 else 20)
    if worth is None:
        return decides
    gain = (
        f"saves about {worth.saves:.0f} min" if worth.saves >= 1 else "saves little time"
    )
    return f"{decides[:-1]}; {gain}."


def _decides(case: Case, predictions: Sequence[Prediction], room: int) -> str:
    if not predictions:
        return "It decides little now."
    first, name = predictions[0], name_in(fault_label(case.kb, predictions[0].fault), room)
    for other in predictions[1:]:
        if first.differs_from(other):
            return f"Tells {name} from {name_in(fault_label(case.kb, other.fault), room)}."
    return f"Tells whether it is {name}."


def would_read(case: Case, m: Measurement, width: int, most: int = 3) -> list[str]:
    """What the likeliest causes would make it read, a line each."""
    if of_complaint(m):
        return []
    lines = []
    for prediction in case.predictions(m.id)[:most]:
        says = _in_room(prediction_words(m, prediction), width - len(INDENT) - 19)
        name = name_in(fault_label(case.kb, prediction.fault), width - len(INDENT) - 2 - len(says))
        lines.append(f"{INDENT}{name}: {says}")
    return [f"{INDENT}Expect, if the cause is:", *lines] if lines else []


def _in_room(says: str, room: int) -> str:
    """As many of the parts as there is room for, the first in any case."""
    parts = says.split("), ")
    while len(parts) > 1 and len("), ".join(parts)) + 1 > room:
        parts.pop()
    kept = "), ".join(parts)
    return shortened(kept if kept == says else f"{kept})", max(room, 12))


def _touch(m: Measurement, width: int) -> list[str]:
    return say(m.leads, width) if m.numeric and m.leads else []


def _choices(state: CaseState, m: Measurement, width: int) -> list[str]:
    if m.numeric:
        return []
    rows = [
        (f"{n} {band.replace('_', ' ')}", m.band_labels.get(band, "")) for n, band in enumerate(m.choices, 1)
    ]
    lines = aligned(rows, width, most=26 if width >= 60 else 16)
    guess = guesses.guess_for(state.case, state.complaint, m.id)
    if guess is not None and of_complaint(m):
        lines += say(
            f'"{shortened(state.complaint or "", 40)}" sounds like: {value_words(m, guess)}. y takes it.',
            width,
        )
    return lines


def _bring_on(state: CaseState, m: Measurement, width: int) -> list[ScreenPart]:
    """For a fault that hides: how to bring it on while this is read, and how to say that it was away."""
    case = state.case
    if not case.assessment.intermittent or not case.assessment.shows(m) or of_complaint(m):
        return []
    about = case.kb.about
    short = f"After the value: failed, or {about.went_well}."
    how = f"{short[:-1]} (that rules out little). good 3 = three good {about.tries}."
    typing = ScreenPart(tuple(say(how, width)), 50, tuple(say(short, width)))
    return [bring_on(state, width), *([typing] if m.numeric else [])]
