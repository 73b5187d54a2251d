"""How a reading is taken, a set-up made, a repair done; and the words that can be typed."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.engine.cases.case import Case
from crankpath.shell.outlets.messages.preparations import setups_for
from crankpath.shell.session.questions import cautions_of
from crankpath.shell.session.screens.figures import limit_words
from crankpath.shell.session.screens.wording import INDENT, aligned
from crankpath.shell.session.state import CaseState
from crankpath.shell.text.columns import wrapped

_HANGING = "     "
_VALUES = "A value (310 mV), several by name, or another reading's name; after a value: failed, or "


def procedure(state: CaseState, measurement: str, width: int) -> list[str]:
    """The full procedure of a reading, with its limit, its source and what misleads."""
    case, kb = state.case, state.kb
    m = case.assessment.model.measurements[measurement]
    forbidden = case.guard.reading(m)
    if forbidden:
        return wrapped(f"STOP: {m.label} must not be taken now. {forbidden[0].text}", width, "! ", "  ")
    lines = [*wrapped(m.label, width, "== ", "   "), *wrapped(m.asks, width, INDENT)]
    for setup in setups_for(case, m):
        lines += wrapped(f"First: {setup.label} ({setup.minutes:g} min)", width, INDENT, _HANGING)
    lines += _titled("Leads", m.leads, width) + _titled("Meter", m.meter, width)
    for n, step in enumerate(m.steps, 1):
        lines += wrapped(step, width, f"{n:>3}. ", _HANGING)
    if case.assessment.shows(m) or m.numeric:
        limit = limit_words(m, case.assessment.now.facts)
        lines += _titled("Limit", limit or "", width)
    lines += _titled("Misleads", m.misleads, width)
    lines += _titled("Source", ", ".join(m.sources), width)
    for caution in cautions_of(case, measurement):
        lines += wrapped(kb.cautions[caution].short, width, "! ", "  ")
    return lines


def _titled(title: str, text: str, width: int) -> list[str]:
    return wrapped(f"{title}: {text}", width, INDENT, _HANGING) if text and text != "None." else []


def readiness(case: Case, setups: Sequence[str], cautions: Sequence[str], width: int) -> list[str]:
    """How set-ups are made, each way with what it suits and what it can do to you; cautions in full."""
    kb, lines = case.kb, list[str]()
    for setup in setups:
        lines += wrapped(kb.setups[setup].label, width, "== ", "   ")
        for way in case.guard.ways(kb.setups[setup]):
            lines += wrapped(f"{way.label}: {way.how}", width, " - ", INDENT)
            lines += wrapped(f"suits {way.suits}", width, INDENT, INDENT) if way.suits else []
            lines += wrapped(f"! {way.risk}", width, INDENT, _HANGING) if way.risk else []
    for caution in cautions:
        lines += wrapped(kb.cautions[caution].text, width, "! ", "  ")
    return lines


def repair_steps(case: Case, repair_id: str, width: int) -> list[str]:
    """A repair step by step, with its cautions in full."""
    kb, repair = case.kb, case.kb.repairs[repair_id]
    lines = wrapped(f"{repair.label}, {repair.minutes:g} min", width, "== ", "   ")
    for caution in case.guard.cautions_before(repair):
        lines += wrapped(kb.cautions[caution].text, width, "! ", "  ")
    for n, step in enumerate(case.guard.steps(repair), 1):
        for caution in step.cautions:
            lines += wrapped(kb.cautions[caution].text, width, "! ", "  ")
        lines += wrapped(step.text, width, f"{n:>3}. ", _HANGING)
    return lines


def command_words(went_well: str, shown: Sequence[tuple[str, str]], width: int) -> list[str]:
    """What can be typed at a prompt; `went_well` as the base says it."""
    lines = ["== What you can type"]
    lines += wrapped(f"{_VALUES}{went_well}.", width, INDENT)
    if width < 60:
        for word, about in shown:
            lines += wrapped(f"{word}: {about}", width, INDENT, _HANGING)
        return lines
    return lines + aligned(list(shown), width, INDENT, 24)
