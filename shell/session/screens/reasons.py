"""Why: what speaks for a reading, for and against a cause."""

from __future__ import annotations

from crankpath.engine.advice.explain import Reason
from crankpath.engine.cases.case import Case
from crankpath.shell.outlets.reports.readings import gain_sentence, value_words
from crankpath.shell.outlets.reports.words import NOT_LISTED, factor, percent
from crankpath.shell.session.questions import AskReading
from crankpath.shell.session.screens.ranking import bars
from crankpath.shell.session.screens.reading import reason_for, would_read
from crankpath.shell.session.screens.wording import INDENT
from crankpath.shell.session.state import CaseState
from crankpath.shell.text.columns import wrapped


def why_reading(state: CaseState, measurement: str, width: int) -> list[str]:
    """What a reading would decide, what it costs, what the causes would make it show."""
    case = state.case
    m = case.assessment.model.measurements[measurement]
    worth = next((s for s in case.suggestions() if s.measurement == measurement), None)
    reason = reason_for(state, AskReading(measurement), m, width)
    lines = [f"== {m.label}"[:width], *wrapped(reason, width, INDENT)]
    if worth is None:
        lines += wrapped("It is read already, or can tell nothing now.", width, INDENT)
    else:
        lines += wrapped(
            f"{worth.minutes:g} min; {worth.bits:.2f} bits about the right repair; "
            f"saves {round(worth.saves):+d} min against repairing by chance from here.",
            width, INDENT)  # fmt: skip
    others = [s for s in case.suggestions() if s.measurement != measurement and s.bits > 0][:3]
    if others:
        said = "; ".join(
            f"{case.kb.measurements[s.measurement].label} {s.bits:.2f} bits, {s.minutes:g} min"
            for s in others
        )
        lines += wrapped(f"Next to it: {said}.", width, INDENT)
    return lines + would_read(case, m, width)


def causes_now(case: Case, width: int) -> list[str]:
    """The ranking, numbered for `why N`."""
    shown = bars(case, width - 3, 8)
    lines = ["== Causes now", *(f"{n:>2} {line}" for n, line in enumerate(shown, 1))]
    return lines + wrapped("why 1 says what speaks for the first.", width, INDENT)


def for_and_against(case: Case, fault: str | None, width: int) -> list[str]:
    """Every reading that speaks for or against a cause, with the rule and its source."""
    known = case.kb.faults.get(fault or "")
    chance = next(c.probability for c in case.causes() if c.fault == fault)
    label = known.label if known else NOT_LISTED
    lines = wrapped(f"{label}, {percent(chance)}", width, "== ", "   ")
    if known is not None and known.about:
        lines += wrapped(known.about, width, INDENT)
    for reason in case.why(fault):
        lines += _reason(case, reason, width)
    if known is not None:
        gives_back = " ".join(gain_sentence(case, known.repair))
        repair = f"Repair: {case.kb.repairs[known.repair].label}. {gives_back}".rstrip()
        lines += wrapped(repair, width, INDENT)
    return lines


def _reason(case: Case, reason: Reason, width: int) -> list[str]:
    if reason.measurement is None:
        said = "outcome of the repair: " + reason.text
    else:
        m = case.kb.measurements[reason.measurement]
        away = "" if reason.symptom else f", on a good {case.kb.about.one_try}"
        said = f"{m.label} {value_words(m, reason.text)}{away}"
    mark = "+ " if reason.factor >= 1.15 else "- " if reason.factor <= 1 / 1.15 else "  "
    rule = (
        f" {reason.because} [{', '.join(filter(None, (reason.rule, *reason.sources)))}]"
        if reason.rule
        else ""
    )
    return wrapped(f"{said}: {factor(reason.factor)}.{rule}", width, f" {mark}", INDENT)
