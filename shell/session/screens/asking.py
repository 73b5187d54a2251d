"""The screen of each question; the last thing above the prompt."""

from __future__ import annotations

from crankpath.shell.outlets.reports.words import capital, fault_label, percent
from crankpath.shell.session import questions as q
from crankpath.shell.session.input import guesses
from crankpath.shell.session.screens.fitting import ALWAYS, ScreenPart, always, fitted
from crankpath.shell.session.screens.reading import reading_parts
from crankpath.shell.session.screens.repairing import ask_cured, cranks, repair_parts
from crankpath.shell.session.screens.wording import INDENT, aligned, head, say
from crankpath.shell.session.state import CaseState
from crankpath.shell.store.records import Event
from crankpath.shell.text.columns import shortened, wrapped


def asking(state: CaseState, asked: q.Question, width: int, rows: int = 0) -> list[str]:
    """The lines of a question.

    Args:
        state: the case.
        asked: the question.
        width: columns of the terminal.
        rows: lines there is room for; 0 for no end.
    """
    return fitted(parts(state, asked, width), rows)


def parts(state: CaseState, asked: q.Question, width: int) -> list[ScreenPart]:
    """The parts of a question's screen, to be fitted together with what stands above it; stops first."""
    stops = [line for text in state.case.stops() for line in wrapped(f"STOP: {text}", width, "! ", "  ")]
    return [*([always(stops)] if stops else []), *_parts(state, asked, width)]


def _parts(state: CaseState, asked: q.Question, width: int) -> list[ScreenPart]:  # noqa: C901
    match asked:
        case q.AskComplaint():
            return [always(complaint(width))]
        case q.AskReading():
            return reading_parts(state, asked, width)
        case q.AskSafe():
            return _safe(state, asked, width)
        case q.AskCautions():
            return _mind(state, asked, width)
        case q.AskRepair(repair=repair):
            return repair_parts(state, repair, width)
        case q.AskMachine():
            return _machine(state, width)
        case q.AskWhen():
            return [always(_when(state, width))]
        case q.AskFailing(event=event):
            read = ", ".join(_typed(state, told) for told in state.of_one_crank(event))
            return [always([*head(f"Did it fail during this reading: {read}?", width), *say(
                f"y it failed just then, n it {state.kb.about.went_well}.", width)])]  # fmt: skip
        case q.AskCured():
            return [always(ask_cured(state, width))]
        case q.AskCranks():
            return [always(cranks(state, asked, width))]
        case q.AskStop():
            how = "When that is done, say so: a reading, machine FACT, or done REPAIR. Or note; close."
            return [always([*head("Nothing else until then.", width), *say(how, width)])]
        case q.AskStuck():
            return [always(_stuck(state, width))]
        case q.AskClose():
            return [always([*head("Cured; nothing is left to find.", width), *say(
                "Enter closes the case. note TEXT adds what the next one should know.", width)])]  # fmt: skip
        case q.Finished():
            return [always(_finished(state, width))]


def _typed(state: CaseState, event: Event) -> str:
    m = state.kb.measurements[str(event.body.get("measurement"))]
    return f"{m.short} {event.body.get('text', event.body.get('value'))}"


def complaint(width: int) -> list[str]:
    """The first question of a case; needs no knowledge, so that it can be asked at once."""
    return [
        *head("What does the operator say it does?", width),
        *say("In the operator's words; Enter if nobody knows.", width),
    ]


def _safe(state: CaseState, asked: q.AskSafe, width: int) -> list[ScreenPart]:
    kb = state.kb
    label = "meters that stay on" if asked.waits else kb.measurements[asked.measurement].label
    setups = [f"{kb.setups[s].label}, {kb.setups[s].minutes:g} min" for s in asked.setups]
    work = [line for text in setups for line in wrapped(text, width, f"{INDENT}[ ] ", INDENT + "    ")]
    cautions = [line for c in asked.cautions for line in wrapped(kb.cautions[c].short, width, "! ", "  ")]
    if asked.more:
        return [
            always(head(f"{capital(label)}: watch out for", width)),
            always(cautions),
            always(say(f"Enter when read, {asked.more} more follow. ? tells more.", width)),
        ]
    if not asked.setups:
        return [
            always(head(f"{capital(label)}: watch out for", width)),
            always(cautions),
            always(say("Enter when read. ? tells more.", width)),
        ]
    then = ", ".join(kb.setups[s].label for s in asked.then)
    return [
        always(head(f"{capital(label)}: make ready and safe first", width)),
        ScreenPart(tuple(work), ALWAYS, tuple(say("; ".join(setups), width))),
        always(cautions),
        ScreenPart(tuple(say(f"Then: {then}.", width)) if then else (), 70),
        always(say("Enter when that is so. ? tells how.", width)),
    ]


def _mind(state: CaseState, asked: q.AskCautions, width: int) -> list[ScreenPart]:
    label = state.kb.repairs[asked.repair].label
    at = "" if asked.step is None else f", step {asked.step[0]}"
    shorts = [state.kb.cautions[c].short for c in asked.cautions]
    more = f", {asked.more} more follow" if asked.more else ""
    return [
        always(head(f"{capital(label)}{at}: watch out for", width)),
        always([] if asked.step is None else say(asked.step[1], width)),
        always([line for short in shorts for line in wrapped(short, width, "! ", "  ")]),
        always(say(f"Enter when read{more}. ? tells more.", width)),
    ]


def _stuck(state: CaseState, width: int) -> list[str]:
    verdict = state.case.verdict()
    lines = [*head(f"Nothing listed here explains this ({percent(verdict.probability)}).", width)]
    if verdict.measurement is not None:
        label = state.kb.measurements[verdict.measurement].label
        lines += say(f"Take {label} again first: it fits the other readings worst. Enter chooses it.", width)
    return lines + say("Or any reading by name; why; note; export FILE for somebody else; close.", width)


def _finished(state: CaseState, width: int) -> list[str]:
    causes = ", ".join(fault_label(state.kb, c if c in state.kb.faults else None) for c in state.causes)
    return [*head("This case is closed.", width), *say(f"Cause: {causes or 'none confirmed'}.", width),
            *say("new begins another, cases lists them, back opens this one again.", width)]  # fmt: skip


def _machine(state: CaseState, width: int) -> list[ScreenPart]:
    facts = guesses.facts_in_words(state.kb, state.case.equipment)
    dangers = guesses.dangers(state.kb, state.case.equipment)
    asked = say(f"Any of these? Then say so: {'; '.join(dangers)}.", width) if dangers else []
    first = say(f"Any {dangers[0]}? Then say so; ? lists more.", width) if dangers else []
    return [
        always(head("Which machine?", width)),
        ScreenPart(
            tuple(say(f"So far: {facts}.", width)), 60, tuple(say("Usual figures are assumed.", width))
        ),
        ScreenPart(tuple(asked), 90, tuple(first)),
        always(say("Enter if that is right, or a name, or what differs: loader 7: 24 V. "
                   "? lists what can be told.", width)),
    ]  # fmt: skip


def _when(state: CaseState, width: int) -> list[str]:
    rows = [(str(n), fact.label) for n, fact in enumerate(guesses.when_facts(state.kb), 1)]
    guessed = guesses.guess_when(state.kb, state.complaint)
    sounds = ", ".join(state.kb.equipment[fact].label for fact in guessed)
    complaint = shortened(state.complaint or "", 40)
    said = f'"{complaint}" sounds like: {sounds}. y takes it; name others; Enter if not known.'
    return [*head("When is it worst?", width), *aligned(rows, width),
            *say(said if guessed else "One or more; Enter if that is not known.", width)]  # fmt: skip
