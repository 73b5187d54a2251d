"""The hand-over of a case to the next shift: a pure function from its state to lines."""

from __future__ import annotations

from collections.abc import Iterator

from crankpath.engine.inference.entries import Reading, Repaired
from crankpath.shell.desk.due import due_words
from crankpath.shell.desk.exchange import awaited, promises, reference
from crankpath.shell.outlets.reports.diagnosis import remarks
from crankpath.shell.outlets.reports.readings import value_words
from crankpath.shell.outlets.reports.words import fault_label
from crankpath.shell.session import questions as q
from crankpath.shell.session.input import guesses
from crankpath.shell.session.screens.listing import SET_ASIDE, attached_words, event_words, said_by
from crankpath.shell.session.screens.ranking import bars, taken_as
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.errors import BadEvent
from crankpath.shell.store.order import local_time, utc
from crankpath.shell.store.records import Event
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import age_words, wrapped

_IN, _ON = "   ", "     "


def handover(state: CaseState, now: str, width: int) -> list[str]:
    """What the next shift must know: what is known, ruled out and by what, pending, promised, noted.

    Args:
        state: the case. now: the time, ISO 8601. width: columns.
    """
    lines = wrapped(f"{state.name or 'case'}{_machine(state)}", width, "== ", "   ")
    for heading, said in (
        ("Machine", _equipment(state)),
        ("Known", _known(state, now)),
        (
            "Not usable",
            [f"{event_words(state.kb, e.event)}: {e.trouble}" for e in state.entered if e.trouble],
        ),
        ("Does not fit", remarks(state.case)),
    ):
        lines += _section(heading, said, width)
    lines += _plain("Causes now", bars(state.case, width), width)
    lines += _section("Ruled out", _ruled_out(state), width)
    lines += _section("Pending", _pending(state, now), width)
    lines += _section("Promised", [_promise(p, now) for p in promises(state.events)], width)
    held = [e for e in state.events if e.kind == "given"][-1:]
    files = [e for e in state.events if e.kind == "attached"]
    notes = [e for e in state.events if e.kind == "note"]
    for heading, events, words in (
        ("Who has it", held, lambda e: str(e.body.get("to") or "nobody in particular")),
        ("Photos and files", files, lambda e: attached_words(e.body)),
        ("Notes", notes, _text),
    ):
        lines += _section(heading, [f"{words(e)} ({_who_when(e, now)})" for e in events], width)
    return lines


def _section(heading: str, said: list[str] | Iterator[str], width: int) -> list[str]:
    lines = [line for text in said for line in wrapped(one_line(text, 600), width, f"{_IN}- ", _ON)]
    return _plain(heading, lines, width)


def _plain(heading: str, lines: list[str], width: int) -> list[str]:
    return [*wrapped(heading, width), *lines] if lines else []


def _machine(state: CaseState) -> str:
    return one_line(f", {state.machine}" if state.machine and state.machine != state.name else "", 80)


def _equipment(state: CaseState) -> Iterator[str]:
    yield guesses.facts_in_words(state.kb, state.case.equipment)
    when = [f.label for f in guesses.when_facts(state.kb) if state.told.get(f.id) is True]
    if when:
        yield ", ".join(when)
    lacks = [state.kb.tools[t].label for t in sorted(state.lacks) if t in state.kb.tools]
    if lacks:
        yield f"not at hand: {', '.join(lacks)}"


def _known(state: CaseState, now: str) -> Iterator[str]:
    if state.complaint is not None:
        yield f'complaint: "{state.complaint}"' if state.complaint else "complaint: not known"
    last = {e.entry.measurement: e.event.id for e in state.entered if isinstance(e.entry, Reading)}
    for entered in state.entered:
        entry = entered.entry
        if entry is None:
            continue
        # a reading is judged against its limit as it stands now; of an earlier one the figure is enough
        latest = not isinstance(entry, Reading) or last[entry.measurement] == entered.event.id
        said = taken_as(state.case, entry) if latest else event_words(state.kb, entered.event)
        said += "" if state.case.assessment.stands(entry) else SET_ASIDE
        if isinstance(entry, Repaired) and entry.cured is None:
            said = event_words(state.kb, entered.event)
        yield f"{said.rstrip('.')} ({_who_when(entered.event, now)})"


def _ruled_out(state: CaseState) -> Iterator[str]:
    """Each reading with the faults that it did most to rule out."""
    kb = state.kb
    by: dict[str, list[str]] = {}
    for gone in state.case.ruled_out():
        m = kb.measurements[gone.by.measurement] if gone.by.measurement else None
        reading = f"{m.label} {value_words(m, gone.by.text)}" if m else "the outcome of the repair"
        by.setdefault(reading, []).append(kb.faults[gone.fault].label)
    for reading, faults in by.items():
        yield f"by {reading}: {'; '.join(faults)}"


def _pending(state: CaseState, now: str) -> Iterator[str]:
    sent = awaited(state.events)
    if sent is not None:
        what = sent.event.body.get("waits_for") or "an answer"
        mark = reference(state.id, sent.number)
        at = local_time(sent.event.at, now)
        yield f"awaited: {what}, asked at {at}, {_ago(sent.event, now)}, as {mark}"
    pending = state.repair_pending
    if pending is not None:
        yield f"proof of: {state.kb.repairs[pending.repair].label}"
    yield f"next: {_next(state)}"
    skipped = [state.kb.measurements[m].label for m in sorted(state.skipped) if m in state.kb.measurements]
    if skipped:
        yield f"put off: {', '.join(skipped)}"


def _next(state: CaseState) -> str:
    kb = state.kb
    match q.question(state):
        case q.AskComplaint():
            return "what the operator says"
        case q.AskMachine():
            return "what machine it is"
        case q.AskWhen():
            return "when it is worst"
        case q.AskFailing(event=event):
            return f"was it failing during: {event_words(kb, event)}"
        case q.AskReading(measurement=name) | q.AskSafe(measurement=name):
            return kb.measurements[name].label
        case q.AskRepair(repair=repair) | q.AskCautions(repair=repair):
            return f"repair: {kb.repairs[repair].label}"
        case q.AskCured(repair=repair):
            return f"is the complaint gone after: {kb.repairs[repair].label}"
        case q.AskCranks(good=good, needed=needed):
            return f"good {kb.about.tries} in a row, {good} of {needed.cranks} so far"
        case q.AskStop():
            return "STOP: nothing else until what is said above is done"
        case q.AskClose():
            return "cured; close the case"
        case q.Finished():
            causes = [fault_label(kb, c if c in kb.faults else None) for c in state.causes]
            return f"closed, cause: {', '.join(causes) or 'none confirmed'}"
        case _:
            return "nothing listed explains this"


def _promise(event: Event, now: str) -> str:
    due = event.body.get("due")
    said = due_words(_text(event), str(due), now) if due else _text(event)
    return f"{said} ({_who_when(event, now)})"


def _text(event: Event) -> str:
    return one_line(str(event.body.get("text") or ""), 500)


def _who_when(event: Event, now: str) -> str:
    return one_line(f"{said_by(event)}, {local_time(event.at, now)}", 60)


def _ago(event: Event, now: str) -> str:
    try:
        age = age_words((utc(now) - utc(event.at)).total_seconds())
    except BadEvent:
        return "at a time not known"
    return "just now" if age == "now" else f"{age} ago"
