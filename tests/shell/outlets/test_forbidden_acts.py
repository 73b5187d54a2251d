"""No outlet offers an act that a fact in force forbids: every act is marked, and the marks are looked for."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import cycle
from pathlib import Path

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.machine.safety import forbidding
from crankpath.shell.outlets.chart.html import chart_html
from crankpath.shell.outlets.chart.making import chart_of
from crankpath.shell.outlets.chart.text import chart_text
from crankpath.shell.outlets.messages import step_message, whole_message
from crankpath.shell.outlets.messages.watch_card import WatchCard, watch_card
from crankpath.shell.outlets.messages.watch_text import watch_text
from crankpath.shell.outlets.messages.watching import watch_message
from crankpath.shell.outlets.pages import card_page
from crankpath.shell.outlets.pages.sheet.making import sheet_of
from crankpath.shell.outlets.pages.sheet.text import sheet_text
from crankpath.shell.outlets.pages.watch_page import watch_page
from crankpath.shell.outlets.reports.diagnosis import diagnosis
from crankpath.shell.outlets.reports.diagnosis_data import diagnosis_data
from crankpath.shell.session.questions import AskCautions, AskReading, AskRepair, AskSafe, question
from crankpath.shell.session.screens.asking import asking
from crankpath.shell.session.screens.procedure import procedure, readiness, repair_steps
from crankpath.shell.session.state import CaseState

SHELL = Path(__file__).parents[3] / "shell"
MARK = re.compile(r"ACT\w+TCA")
STOPS: tuple[tuple[dict[str, object], dict[str, str]], ...] = (
    ({"high_voltage_drive": True}, {}),
    ({"people_at_machine": True}, {}),
    ({"liquid_possible": True}, {}),
    ({"battery_frozen_or_damaged": True}, {}),
    ({"lithium_battery": True, "air_temperature": -10}, {}),
    ({}, {"engine_turns_by_hand": "locked"}),
    ({}, {"crank_behaviour": "heavy_thump"}),
    ({}, {"click_heard": "heavy_thump"}),
    ({}, {"crank_behaviour": "keeps_running"}),
)


def marked(kb: Knowledge) -> Knowledge:
    """The knowledge base with every instruction replaced by a mark that tells which act it is."""

    def mark(*parts: object) -> str:
        return f"ACT{'__'.join(map(str, parts))}TCA"

    return replace(
        kb,
        measurements={
            m.id: replace(m, asks=mark("m", m.id), leads=mark("m", m.id), steps=(mark("m", m.id),))
            for m in kb.measurements.values()
        },
        setups={
            s.id: replace(s, ways=tuple(replace(w, how=mark("w", s.id, n)) for n, w in enumerate(s.ways)))
            for s in kb.setups.values()
        },
        repairs={
            r.id: replace(r, steps=tuple(replace(s, text=mark("s", r.id, n)) for n, s in enumerate(r.steps)))
            for r in kb.repairs.values()
        },
    )


MARKED = marked(shipped_knowledge())


def session(case: Case) -> str:
    """The question, and what `?` tells of it."""
    state = CaseState("", MARKED, case, complaint="it does not crank", asked=frozenset({"machine", "when"}))
    asked = question(state)
    lines = asking(state, asked, 80)
    match asked:
        case AskReading(measurement=name):
            lines += procedure(state, name, 80)
        case AskSafe(measurement=name, cautions=cautions, setups=setups):
            lines += [*procedure(state, name, 80), *readiness(case, setups, cautions, 80)]
        case AskRepair(repair=repair) | AskCautions(repair=repair):
            lines += repair_steps(case, repair, 80)
        case _:
            pass
    return "\n".join(lines)


def chart_both_ways(case: Case) -> str:
    """The chart as text and as a page."""
    page = chart_of(case, 1)
    return "\n".join([*chart_text(page, 200), chart_html(page)])


def left_on(card: WatchCard) -> list[str]:
    """The acts of a card for the cab: it says by points, not by the reading's own words, where leads go."""
    return [f"ACTm__{one.measurement}TCA" for one in (*card.connected, *card.noted)]


OUTLETS: dict[str, Callable[[Case], str]] = {
    "session": session,
    "message": lambda case: " ".join(step_message(case, 2000)),
    "whole message": whole_message,
    "card": card_page,
    "chart": chart_both_ways,
    "watch": lambda case: "\n".join([*watch_text(watch_card(case)), *left_on(watch_card(case))]),
    "watch page": lambda case: watch_page(watch_card(case)),
    "watch message": lambda case: " ".join(watch_message(watch_card(case), 2000)),
    "diagnosis": lambda case: "\n".join(diagnosis(case, 80)),
    "JSON": lambda case: json.dumps(diagnosis_data(case)),
    "sheet": lambda case: sheet_text(sheet_of(case)),
}
"""A new outlet joins here."""

COVERED = {
    "desk/outgoing", "outlets/chart/making",
    "outlets/messages/preparations", "outlets/messages/step", "outlets/messages/whole_procedure",
    "outlets/messages/watch_card", "outlets/pages/card_data", "outlets/pages/sheet/making",
    "outlets/reports/diagnosis_data",
    "outlets/reports/diagnosis", "outlets/reports/readings",
    "session/questions", "session/preparing", "session/screens/asking", "session/screens/procedure",
    "session/screens/repairing", "session/screens/reading", "session/screens/reasons",
    "session/input/answers",
}  # fmt: skip
"""Modules of the shell that tell of acts and are reached by an outlet above."""

NO_ACTS = {
    "commands/catching/record": "shows cautions of cranking",
    "commands/diagnose": "an exit code",
    "outlets/reports/difference": "compares knowledge bases",
}
"""Modules that look at advice and offer none."""


def allowed(case: Case, mark: str) -> bool:
    """Whether the act behind a mark may be done now."""
    sort, *names = mark[3:-3].split("__")
    guard, kb = case.guard, case.kb
    if sort == "m":
        return not guard.reading(kb.measurements[names[0]])
    if sort == "w":
        return kb.setups[names[0]].ways[int(names[1])] in guard.ways(kb.setups[names[0]])
    repair = kb.repairs[names[0]]
    step = repair.steps[int(names[1])]
    return not guard.repair(repair) and not forbidding(kb, step.does, guard.after(repair).stops)


def shown(outlet: Callable[[Case], str], case: Case) -> str:
    """What an outlet says; a refusal says its reason."""
    try:
        return outlet(case)
    except CaseError as refusal:
        return str(refusal)


def waiting(equipment: dict[str, object], readings: dict[str, str]) -> Case:
    """A complaint that comes and goes."""
    case = Case(MARKED, equipment)
    for name, value in {"occurrence": "intermittent", "crank_behaviour": "slow", **readings}.items():
        case.record(name, value)
    return case


@cache
def cases() -> tuple[Case, ...]:
    """Every stop beside every complaint, and beside the proof of every fault's repair."""
    found = []
    for equipment, readings in STOPS:
        for complaint in MARKED.measurements["crank_behaviour"].choices:
            case = Case(MARKED, equipment)
            for name, value in {"crank_behaviour": complaint, **readings}.items():
                case.record(name, value)
            found.append(case)
        found.append(waiting(equipment, readings))
    stops = cycle(STOPS)
    for fault in MARKED.faults.values():
        equipment, readings = next(stops)
        case = Case(MARKED, equipment)
        if fault.id not in case.assessment.model.faults:
            continue
        for name, value in {"crank_behaviour": "slow", **readings}.items():
            case.record(name, value)
        case.repaired(fault.repair)
        found.append(case)
    return tuple(found)


ONE_IN = dict.fromkeys(OUTLETS, 7) | {"chart": 49}
"""One in so many cases is looked at, some of every stop; the slow tests look at all."""
ALL = pytest.param(1, marks=pytest.mark.slow)


@pytest.mark.parametrize(
    ("name", "one_in"),
    [*ONE_IN.items(), *(pytest.param(name, 1, marks=pytest.mark.slow) for name in ONE_IN)],
)
def test_no_outlet_offers_an_act_that_is_forbidden_now(name: str, one_in: int) -> None:
    for case in cases()[::one_in]:
        text = shown(OUTLETS[name], case)
        offered = {mark for mark in MARK.findall(text) if not allowed(case, mark)}
        assert not offered, (name, case.equipment, [str(e) for e in case.entries])


def test_leads_are_left_on_where_nothing_forbids_it() -> None:
    cases = waiting({}, {}), waiting(*STOPS[0])
    offered = [set(MARK.findall(shown(OUTLETS["watch"], case))) for case in cases]
    assert offered[0]
    assert not offered[1]


@pytest.mark.parametrize("one_in", [7, ALL])
def test_no_suggestion_and_no_verdict_names_a_forbidden_reading(one_in: int) -> None:
    for case in cases()[::one_in]:
        here = case.assessment.model.measurements
        named = [*(s.measurement for s in case.suggestions()), case.verdict().measurement]
        assert not [m for m in named if m and case.guard.reading(here[m])]


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow if name == "chart" else ()) for name in OUTLETS]
)
def test_the_reason_of_a_stop_comes_before_every_act(name: str) -> None:
    for case in (case for case in cases()[::21] if case.stops()):  # a repair can end a stop
        text = " ".join(shown(OUTLETS[name], case).replace("\n!", "\n").split())
        reason = case.stops()[0][:30]
        assert reason in text, (name, reason, text)
        acts = [found.start() for found in MARK.finditer(text)]
        assert not acts or text.index(reason) < min(acts)


def test_every_module_that_tells_of_acts_is_covered_by_an_outlet() -> None:
    speaks = re.compile(r"\.verdict\(|\.suggestions\(|guard\.")
    found = {
        file.relative_to(SHELL).with_suffix("").as_posix()
        for file in SHELL.rglob("*.py")
        if speaks.search(file.read_text("utf-8"))
    }
    assert found <= COVERED | set(NO_ACTS)
