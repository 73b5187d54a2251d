"""The screen of each question; the last thing above the prompt."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.engine.case import Case
from crankpath.engine.explain import Prediction
from crankpath.engine.intermittent import failure_rate
from crankpath.engine.knowledge import Measurement
from crankpath.shell.report.words import fault_label, percent, wrapped
from crankpath.shell.session import guesses
from crankpath.shell.session.figures import band_words, limit_words
from crankpath.shell.session.questions import (
    AskClose,
    AskComplaint,
    AskCranks,
    AskCured,
    AskFailing,
    AskMachine,
    AskReading,
    AskRepair,
    AskSafe,
    AskStuck,
    AskWhen,
    Finished,
    Question,
    cured_faults,
    proof_of,
    tries_before_repair,
)
from crankpath.shell.session.screens.fitting import ALWAYS, Part, fitted
from crankpath.shell.session.screens.leads import leads
from crankpath.shell.session.screens.wording import INDENT, aligned, cut, value_words
from crankpath.shell.session.state import BEHAVIOUR_KIND, HISTORY_KIND, CaseState


def asking(state: CaseState, asked: Question, width: int, rows: int = 0) -> list[str]:
    """The lines of a question.

    Args:
        state: the case.
        asked: the question.
        width: columns of the terminal.
        rows: lines there is room for; 0 for no end.
    """
    return fitted(_parts(state, asked, width), rows)


def _parts(state: CaseState, asked: Question, width: int) -> list[Part]:  # noqa: C901
    match asked:
        case AskComplaint():
            return [_always(complaint(width))]
        case AskReading():
            return _reading(state, asked, width)
        case AskSafe():
            return _safe(state, asked, width)
        case AskRepair(repair=repair):
            return _repair(state, repair, width)
        case AskMachine():
            return [_always(_machine(state, width))]
        case AskWhen():
            return [_always(_when(state, width))]
        case AskFailing(event=event):
            m = state.kb.measurements[str(event.body.get("measurement"))]
            typed = event.body.get("text", event.body.get("value"))
            return [_always([*_head(f"Was it failing while you read {m.short} {typed}?", width), *_say(
                "y it failed just then, n it cranked well.", width)])]  # fmt: skip
        case AskCured():
            return [_always(_cured(state, width))]
        case AskCranks():
            return [_always(_cranks(state, asked, width))]
        case AskStuck():
            return [_always(_stuck(state, width))]
        case AskClose():
            return [_always([*_head("Cured, and nothing is left to look for.", width), *_say(
                "Enter closes the case. note TEXT adds what the next one should know.", width)])]  # fmt: skip
        case Finished():
            return [_always(_finished(state, width))]


def _always(lines: Sequence[str]) -> Part:
    return Part(tuple(lines), ALWAYS)


def _head(text: str, width: int) -> list[str]:
    return wrapped(text, width, ">> ", ">> ")


def _say(text: str, width: int) -> list[str]:
    return wrapped(text, width, INDENT)


def complaint(width: int) -> list[str]:
    """The first question of a case; needs no knowledge, so that it can be asked at once."""
    return [*_head("What does the operator say it does?", width),
            *_say("In his own words; Enter if nobody knows.", width)]  # fmt: skip


# -- a reading ------------------------------------------------------------------------


def _reading(state: CaseState, asked: AskReading, width: int) -> list[Part]:
    m = state.case.assessment.model.measurements[asked.measurement]
    head = _head(_title(state.case, asked, m), width)
    reason = _say(reason_for(state, asked, m), width)
    said = _of_complaint(m) or m.numeric
    parts = [
        _always(head),
        Part(tuple(_say(m.asks, width)), 55) if not said else Part((), 0),
        Part(tuple(reason), 90, tuple(reason[:2])),
        Part(tuple(leads(state.case, m, width)), 80),
        Part(tuple(_touch(m, width)), 30 if width < 60 else 50),
        Part(tuple(would_read(state.case, m, width)), 60, tuple(would_read(state.case, m, width, most=2))),
        _always(_choices(state, m, width)),
    ]
    bring_on = _bring_on(state, m, width)
    parts.append(Part(tuple(bring_on), 40, tuple(bring_on[:1])))
    for caution in asked.cautions:
        parts.append(_always(wrapped(state.kb.cautions[caution].short, width, "! ", "  ")))
    return parts


def _title(case: Case, asked: AskReading, m: Measurement) -> str:
    word = {"next": "Next", "chosen": "You chose", "proof": "Prove the repair", "reason": "Why did it come to that",
            "again": "Take again"}[asked.purpose]  # fmt: skip
    if _of_complaint(m) and asked.purpose == "next":
        return m.asks
    return f"{word}: {m.label}, {case.advisor.minutes(m):g} min"


def _of_complaint(m: Measurement) -> bool:
    """True for what the operator tells: it costs nothing and is not argued for."""
    return bool({BEHAVIOUR_KIND, HISTORY_KIND} & set(m.kinds))


def reason_for(state: CaseState, asked: AskReading, m: Measurement) -> str:
    """Why this reading, in a line: what it decides and what it saves, or what it must show."""
    case = state.case
    if asked.purpose in ("proof", "reason"):
        limit = limit_words(m, case.assessment.now.facts)
        must = f"Must read {limit}. " if limit else ""
        return (
            f"{must}{m.asks}" if asked.purpose == "reason" else f"{must}The same reading as before, repaired."
        )
    if _of_complaint(m):
        return ""
    worth = next((s for s in case.suggestions() if s.measurement == m.id), None)
    decides = _decides(case, case.predictions(m.id), m)
    if worth is None:
        return decides
    gain = (
        f"saves about {worth.saves:.0f} min" if worth.saves >= 1 else f"{worth.bits:.2f} bits for its minutes"
    )
    return f"{decides[:-1]}; {gain}."


def _decides(case: Case, predictions: Sequence[Prediction], m: Measurement) -> str:
    if not predictions:
        return "It decides little now."
    first = predictions[0]
    for other in predictions[1:]:
        if _likeliest(first) != _likeliest(other):
            return f"Tells {fault_label(case.kb, first.fault)} from {fault_label(case.kb, other.fault)}."
    return f"Tells whether it is {fault_label(case.kb, first.fault)}."


def _likeliest(prediction: Prediction) -> str:
    return max(prediction.chances, key=lambda band: prediction.chances[band])


def would_read(case: Case, m: Measurement, width: int, most: int = 3) -> list[str]:
    """What the likeliest causes would make it read, a line each where they fit."""
    if _of_complaint(m):
        return []
    facts = case.assessment.now.facts
    lines = []
    for prediction in case.predictions(m.id)[:most]:
        band = _likeliest(prediction)
        says = f"{band_words(m, facts, band)} ({percent(prediction.chances[band])})"
        name = fault_label(case.kb, prediction.fault)
        room = width - len(INDENT) - 2 - len(says)
        if room >= 12 or not m.numeric:
            lines += wrapped(f"{cut(name, max(room, 12))}: {says}", width, INDENT, INDENT + "  ")
        else:
            lines += wrapped(f"{name}: {says}", width, INDENT, INDENT + "  ")
    return [f"{INDENT}It would read, with", *lines] if lines else []


def _touch(m: Measurement, width: int) -> list[str]:
    return _say(m.leads, width) if m.numeric and m.leads else []


def _choices(state: CaseState, m: Measurement, width: int) -> list[str]:
    if m.numeric:
        return []
    rows = [
        (f"{n} {band.replace('_', ' ')}", m.band_labels.get(band, "")) for n, band in enumerate(m.bands, 1)
    ]
    lines = aligned(rows, width, most=26 if width >= 60 else 16)
    guess = guesses.guess(state.kb, state.complaint or "", m.id)
    if guess is not None and _of_complaint(m):
        lines += _say(
            f'"{cut(state.complaint or "", 40)}" sounds like: {value_words(m, guess)}. Enter takes it.', width
        )
    return lines


def _bring_on(state: CaseState, m: Measurement, width: int) -> list[str]:
    """For a fault that hides: how to bring it on while this is read."""
    case = state.case
    if not case.assessment.intermittent or not case.assessment.shows(m) or BEHAVIOUR_KIND in m.kinds:
        return []
    failures, of = case.assessment.tries
    ways = guesses.ways_to_bring_on(state.told)
    tally = f"{failures} of {of} tries failed so far. " if of else ""
    return wrapped(f"{tally}It hides: {ways}. A good reading on a good crank clears little.", width, INDENT)


# -- safety ---------------------------------------------------------------------------


def _safe(state: CaseState, asked: AskSafe, width: int) -> list[Part]:
    kb = state.kb
    label = kb.measurements[asked.measurement].label
    setups = [f"{kb.setups[s].label}, {kb.setups[s].minutes:g} min" for s in asked.setups]
    work = [line for text in setups for line in wrapped(text, width, f"{INDENT}[ ] ", INDENT + "    ")]
    cautions = [line for c in asked.cautions for line in wrapped(kb.cautions[c].short, width, "! ", "  ")]
    return [
        _always(_head(f"Before {label}: make it ready and safe", width)),
        Part(tuple(work), 50, tuple(_say("; ".join(setups), width))),
        _always(cautions),
        Part(
            tuple(_say("Enter when that is so. ? tells how.", width)),
            40,
            tuple(_say("Enter when so.", width)),
        ),
    ]


# -- verdict and proof ----------------------------------------------------------------


def _repair(state: CaseState, repair_id: str, width: int) -> list[Part]:
    case, kb = state.case, state.kb
    repair = kb.repairs[repair_id]
    verdict = case.verdict()
    mine = verdict.repair == repair_id and verdict.action == "repair"
    faults = (
        verdict.faults[:2] if mine else tuple(f.id for f in kb.faults.values() if f.repair == repair_id)[:1]
    )
    sure = f", {percent(verdict.probability)}" if mine else ""
    causes = " or ".join(kb.faults[f].label for f in faults)
    proven = verdict.probability >= kb.settings["proven_at"] if mine else True
    standing = "" if proven else "Not proven, but no reading left is worth its minutes. "
    told = [line for f in faults[:1] for line in evidence(case, f, width)] if mine else []
    gone = ruled_out(case, width) if mine else []
    cautions = [line for c in repair.cautions for line in wrapped(kb.cautions[c].short, width, "! ", "  ")]
    return [
        _always(_head(f"REPAIR: {repair.label} ({repair.minutes:g} min)", width)),
        Part(tuple(_say(f"{standing}Cause: {causes}{sure}.", width)), 90),
        Part(tuple(told), 70, tuple(told[:3])),
        Part(tuple(gone), 60, tuple(gone[:3])),
        _always(cautions),
        Part(tuple(_say(_after(case, repair_id), width)), 80),
        _always(_say("Type done when it is made, or give one more reading.", width)),
    ]


def _after(case: Case, repair: str) -> str:
    proof = proof_of(case, repair)
    if proof is None:
        return "Proof afterwards: it cranks as it should."
    m = case.kb.measurements[proof]
    limit = limit_words(m, case.assessment.now.facts)
    return f"Proof afterwards: {m.label}{f', {limit}' if limit else ''}."


def evidence(case: Case, fault: str, width: int, most: int = 3) -> list[str]:
    """The readings that speak loudest for a cause."""
    lines = []
    for reason in [r for r in case.why(fault) if r.factor > 1.15][:most]:
        name = (
            case.kb.measurements[reason.measurement].label if reason.measurement else "outcome of the repair"
        )
        times = (
            "over 1000"
            if reason.factor >= 1000
            else f"{reason.factor:.0f}"
            if reason.factor >= 10
            else f"{reason.factor:.2g}"
        )
        said = (
            value_words(case.kb.measurements[reason.measurement], reason.text)
            if reason.measurement
            else reason.text
        )
        lines += wrapped(f"for it: {name} {said} ({times} times likelier)", width, INDENT, INDENT + "  ")
    return lines


def ruled_out(case: Case, width: int, most: int = 3) -> list[str]:
    """Faults that the readings ruled out, and by which."""
    lines = []
    for gone in case.ruled_out()[:most]:
        m = case.kb.measurements[gone.by.measurement] if gone.by.measurement else None
        by = f"{m.label} {value_words(m, gone.by.text)}" if m else "the repair"
        lines += wrapped(
            f"ruled out: {case.kb.faults[gone.fault].label}, by {by}", width, INDENT, INDENT + "  "
        )
    return lines


def _cured(state: CaseState, width: int) -> list[str]:
    case = state.case
    if not case.assessment.intermittent:
        return [*_head("Does it crank as it should now?", width),
                *_say("y cured, n the complaint is still there.", width)]  # fmt: skip
    failures, of = case.assessment.tries
    if failures:
        return [
            *_head("It failed again. Not cured?", width),
            *_say("n goes on looking, y it is cured all the same.", width),
        ]
    level = state.kb.settings["proof_level"]
    return [*_head(f"{of} good cranks in a row: the repair is proven.", width),
            *_say(f"'Not fixed' is now less likely than {100 * level:g} %. y cured, n not.", width)]  # fmt: skip


def _cranks(state: CaseState, asked: AskCranks, width: int) -> list[str]:
    failures, of = tries_before_repair(state.case)
    settings = state.kb.settings
    rate = failure_rate(failures, of, settings["failure_rate_prior_a"], settings["failure_rate_prior_b"])
    left = asked.needed - asked.good
    seen = f"{failures} of {of} tries failed" if of else "no tries were counted"
    return [
        *_head(f"Crank on: {asked.good} good in a row, {left} more to go", width),
        *_say(f"Before the repair {seen} (about {percent(rate)}); after {asked.needed} good ones in a row 'not fixed' "
              f"is less likely than {100 * settings['proof_level']:g} %.", width),
        *_say("Type how many were good (5), or failed. Try it hot, wet, shaken: as it used to fail.", width),
    ]  # fmt: skip


def _stuck(state: CaseState, width: int) -> list[str]:
    verdict = state.case.verdict()
    lines = [*_head(f"Nothing listed here explains this ({percent(verdict.probability)}).", width)]
    if verdict.measurement is not None:
        label = state.kb.measurements[verdict.measurement].label
        lines += _say(f"Take {label} again first: it fits the others least. Enter takes it.", width)
    return lines + _say("Or any reading by name; why; note; export FILE for somebody else; close.", width)


def _finished(state: CaseState, width: int) -> list[str]:
    causes = ", ".join(fault_label(state.kb, c if c in state.kb.faults else None) for c in state.causes)
    return [*_head("This case is closed.", width), *_say(f"Cause: {causes or 'none confirmed'}.", width),
            *_say("new begins another, cases lists them, back opens this one again.", width)]  # fmt: skip


# -- machine --------------------------------------------------------------------------


def _machine(state: CaseState, width: int) -> list[str]:
    facts = guesses.facts_in_words(state.kb, state.case.equipment)
    return [
        *_head("Which machine?", width),
        *_say(f"Taken so far: {facts}.", width),
        *_say("Enter if that is right, or a name, or what differs: loader 7: 24 V, disconnect positive. "
              "? lists what can be told.", width),
    ]  # fmt: skip


def _when(state: CaseState, width: int) -> list[str]:
    rows = [(str(n), fact.label) for n, fact in enumerate(guesses.when_facts(state.kb), 1)]
    return [*_head("When is it worst?", width), *aligned(rows, width),
            *_say("One or more; Enter if that is not known.", width)]  # fmt: skip


def faults_cured(state: CaseState) -> tuple[str, ...]:
    """What is confirmed when the case is closed now: the faults the repairs cured."""
    done = [r.repair for r in state.case.assessment.repairs if r.cured]
    return tuple(dict.fromkeys(f for repair in done for f in cured_faults(state.case, repair)))
