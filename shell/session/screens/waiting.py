"""The screen that asks to leave meters connected until it fails."""

from __future__ import annotations

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.entries import Reading, Repaired
from crankpath.engine.knowledge.records import SYMPTOM_KIND
from crankpath.shell.outlets.messages.preparations import answer_example
from crankpath.shell.session.input import guesses
from crankpath.shell.session.questions import AskReading
from crankpath.shell.session.screens.fitting import ScreenPart, always
from crankpath.shell.session.screens.wording import INDENT, head, say
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.standing import standing_watch
from crankpath.shell.text.columns import wrapped

_MORE = "watch tells more: where each lead goes, what each picture means, the card for the cab."


def watch_parts(state: CaseState, asked: AskReading, width: int) -> list[ScreenPart]:
    """The parts of the screen: what stays on, how to bring it on, how to type a failure, the cautions."""
    case, about = state.case, state.kb.about
    here = [case.assessment.model.measurements[name] for name in asked.together]
    connect = [line for m in here if m.numeric for line in wrapped(f"{m.label}: {m.leads}", width, INDENT)]
    noted = ", ".join(m.label for m in here if not m.numeric)
    example = ", ".join(answer_example(case, m)[1] for m in here)
    texts = [state.kb.cautions[caution].short for caution in asked.cautions]
    cautions = [line for text in texts for line in wrapped(text, width, "! ", "  ")]
    return [
        always(head("Wait for the next failure with these left connected", width)),
        always(connect),
        always(say(f"Note when it fails: {noted}.", width) if noted else []),
        ScreenPart(tuple(say(f"It {about.goes_well} now: only a failure tells what is wrong.", width)), 60),
        bring_on(state, width),
        always(say(f"Then type it in one line: it failed: {example}", width)),
        always(_still_on(state, width)),
        ScreenPart(tuple(say(f"good 3 = three good {about.tries}. {_MORE}", width)), 50),
        always(cautions),
    ]


def _still_on(state: CaseState, width: int) -> list[str]:
    """Since when the meters are on, and when somebody looks again; how to say that it has not failed here."""
    standing = standing_watch(state.events)
    if standing is None:
        return say("It does not fail here? watch until 2031-05-04 call WHO keeps the meters on.", width)
    call = f" Call {standing.call} when it fails." if standing.call else ""
    return say(f"Connected since {standing.since[:10]}; look again {standing.until}.{call}", width)


def bring_on(state: CaseState, width: int) -> ScreenPart:
    """How often it failed so far, and how to bring it on."""
    failures, of = state.case.assessment.tries
    read, about = _failures_read(state.case), state.kb.about
    counted = f"{failures} of {of} tries failed" if failures else f"{of} good {about.tries}" if of else ""
    seen = f"{read} failure{'s' if read > 1 else ''} read" if read else ""
    tally = f"So far: {', '.join(filter(None, (counted, seen)))}. " if of or read else ""
    ways = f"{tally}To bring it on: {guesses.ways_to_bring_on(state.case)}."
    lines = say(f"{ways} If it stays away, that rules out little.", width)
    return ScreenPart(tuple(lines), 40, tuple(say(tally.strip(), width)))


def _failures_read(case: Case) -> int:
    """Failures since the last repair at which something was read beside what the machine does."""
    found = set[tuple[str, int]]()
    for place, entry in enumerate(case.entries):
        if isinstance(entry, Repaired):
            found.clear()
        elif isinstance(entry, Reading) and entry.symptom:
            m = case.kb.measurements[entry.measurement]
            if case.assessment.shows(m) and SYMPTOM_KIND not in m.kinds:
                found.add(("crank", entry.crank) if entry.crank else ("alone", place))
    return len(found)
