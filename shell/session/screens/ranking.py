"""The causes as bars, and what an entry changed."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.engine.cases.case import Case, Cause
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import band_of
from crankpath.engine.inference.entries import CannotTake, Entry, Reading, Repaired, Tries
from crankpath.engine.inference.ranges import against_limit
from crankpath.shell.outlets.reports.diagnosis import LEAST_CHANCE, remarks
from crankpath.shell.outlets.reports.readings import value_words, voltage_sentences
from crankpath.shell.outlets.reports.words import bar, fault_label, percent
from crankpath.shell.session.screens.figures import limit_words
from crankpath.shell.session.screens.fitting import ScreenPart, always
from crankpath.shell.session.screens.wording import INDENT, entry_words, name_in
from crankpath.shell.text.columns import wrapped

_NARROW = 60  # below this many columns bars and names are shorter
_MOVED = 0.04  # a change smaller than this is not worth a line


def bars(case: Case, width: int, most: int = 4) -> list[str]:
    """The likeliest causes, a line each: chance, bar, name; none wider than `width`."""
    causes = case.causes()
    shown = [cause for cause in causes[:most] if cause.probability >= LEAST_CHANCE] or causes[:1]
    return [_bar(case, cause, width) for cause in shown]


def _bar(case: Case, cause: Cause, width: int) -> str:
    length = 6 if width < _NARROW else 20
    start = f"{percent(cause.probability):>6} {bar(cause.probability, length)} "
    name = "something not listed" if cause.fault is None else fault_label(case.kb, cause.fault)
    return start + name_in(name, width - len(start))


def changed(before: Case, after: Case, entries: Sequence[Entry], width: int) -> list[ScreenPart]:
    """What the entries were taken as, and what they changed; one or two lines, then warnings that are new.

    Args:
        before, after: the case without and with them.
        entries: the new entries, in order.
    """
    lines: list[str] = []
    for entry in entries[:4]:
        lines += wrapped(taken_as(after, entry), width, "-- ", "   ")
    if len(entries) > 4:
        lines.append(f"-- and {len(entries) - 4} more")
    taken = tuple(lines)
    lines = []
    known = remarks(before)
    new = [line for text in remarks(after) if text not in known for line in wrapped(text, width, "! ", "  ")]
    told = set(voltage_sentences(before))
    sums = [s for s in voltage_sentences(after) if s not in told]
    worked_out = tuple(line for said in sums for line in wrapped(said, width, INDENT))
    moved: list[ScreenPart] = []
    if any(not isinstance(entry, CannotTake) for entry in entries) or not entries:
        rose, fell = movement(before, after)
        both = tuple(wrapped(f"{rose} {fell}".strip(), width, INDENT))
        moved = [ScreenPart(both, 75, tuple(wrapped(rose or fell, width, INDENT)))]
    return [ScreenPart(taken, 95, taken[:3]), ScreenPart(worked_out, 72), *moved, always(new)]


def taken_as(case: Case, entry: Entry) -> str:
    """One entry as it was understood, against its limit."""
    match entry:
        case Reading(measurement=name, value=value) if name in case.assessment.model.measurements:
            m = case.assessment.model.measurements[name]
            if not m.numeric:
                return f"{m.label}: {value_words(m, str(value))}.{_away(case, entry)}"
            return f"{m.label} {entry.text}{_standing(case, entry)}.{_away(case, entry)}"
        case Tries():
            return f"{entry_words(case.kb, entry)}."
        case CannotTake():
            return f"{entry_words(case.kb, entry)}; it is not asked again."
        case Repaired(cured=None):
            return f"repair made: {case.kb.repairs[entry.repair].label}. Now the proof."
        case _:
            return f"{entry_words(case.kb, entry)}."


def _away(case: Case, reading: Reading) -> str:
    well = case.kb.about.went_well
    return "" if reading.symptom else f" Taken while it {well}: that rules out little."


def _standing(case: Case, reading: Reading) -> str:
    """Inside or outside the limit, in words; nothing where the limit is not known."""
    m = case.assessment.model.measurements[reading.measurement]
    context = case.assessment.context(case.assessment.repair_epoch, reading.symptom)
    try:
        band = band_of(m, reading.value, context.facts)  # its own: the figure that stands may be a mean
        limit, stands = limit_words(m, context.facts), against_limit(m, context.facts, band)
    except CaseError:
        return ""
    if limit is None:
        return ""
    if stands == "none":
        return ": no current flowed; this proves nothing"
    close = ", but close to it" if stands == "near" else ""
    return f": {'OUTSIDE' if stands == 'fail' else 'inside'} its limit ({limit}){close}"


def movement(before: Case, after: Case) -> tuple[str, str]:
    """What is said of the cause that rose most and of the one that fell most; "" if it hardly moved."""
    was = {c.fault: c.probability for c in before.causes()}
    now = {c.fault: c.probability for c in after.causes()}
    change = {fault: now[fault] - was.get(fault, 0.0) for fault in now}
    up = max(change, key=lambda f: (change[f], f or ""))
    down = min(change, key=lambda f: (change[f], f or ""))

    def said(fault: str | None, word: str) -> str:
        name = "something not listed" if fault is None else after.kb.faults[fault].label
        return f"{word}: {name}, {percent(was.get(fault, 0.0))} to {percent(now[fault])}."

    rose = said(up, "Likelier") if change[up] >= _MOVED else ""
    fell = said(down, "Less likely") if change[down] <= -_MOVED else ""
    return (rose, fell) if rose or fell else ("The chances hardly change.", "")
