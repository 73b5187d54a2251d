"""The whole procedure of a step as text: nothing shortened, one matter a line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import limit_set_in_force
from crankpath.engine.knowledge.records import Measurement, Repair, Setup
from crankpath.shell.outlets.messages.basic_letters import in_basic_letters
from crankpath.shell.outlets.messages.preparations import (
    FAILING,
    answer_example,
    asks_whether_it_failed,
    cautions_for,
    choices,
    example_value,
    in_order,
    setups_for,
)
from crankpath.shell.outlets.messages.step import has_leads, known_reading, stop_sentences, tries_after
from crankpath.shell.outlets.messages.watch_card import watch_card
from crankpath.shell.outlets.messages.watch_text import watch_text
from crankpath.shell.outlets.reports.readings import prediction_words
from crankpath.shell.outlets.reports.words import fault_label
from crankpath.shell.session.screens.figures import limit_words

_UNWRAPPED: Final = 10_000  # columns


def whole_message(case: Case, *measurements: str) -> str:
    """The whole procedure of the next step, or of the readings that are named; lines not wrapped.

    Raises:
        UnknownName, CaseError: no such reading, not on this machine, or nothing left to do.
    """
    return "\n".join(in_basic_letters(line) for line in _lines(case, measurements))


def _lines(case: Case, measurements: Sequence[str]) -> Iterator[str]:
    if not measurements and case.verdict().action == "stop":
        yield from stop_sentences(case)
        return
    yield from (f"STOP: {text}" for text in case.stops())
    if measurements:
        yield from _readings(case, [known_reading(case, name) for name in measurements])
        return
    repairs, verdict = case.assessment.repairs, case.verdict()
    if repairs and repairs[-1].cured:
        raise CaseError("The repair is proven; there is nothing more to do. Write the sheet.")
    if repairs and repairs[-1].cured is None:
        yield from _proof(case, repairs[-1].repair)
    elif verdict.action == "repair" and verdict.repair is not None:
        yield from _repair(case, case.kb.repairs[verdict.repair], verdict.faults)
    elif verdict.action == "watch":
        yield from watch_text(watch_card(case), _UNWRAPPED)
    elif verdict.measurement is not None:
        if verdict.action == "stuck":
            yield "STUCK: nothing listed explains the readings. Replace nothing; take this one again."
        wanted = verdict.together if verdict.action == "measure" else (verdict.measurement,)
        yield from _readings(case, [known_reading(case, name) for name in in_order(case, wanted)])
    else:
        yield "STUCK: nothing listed explains the readings. Replace nothing; say what you see and hear."


def _readings(case: Case, asked: Sequence[Measurement]) -> Iterator[str]:
    """What goes with all of them once, then each with how it is taken; several are numbered."""
    kb, several = case.kb, len(asked) > 1
    if several:
        yield f"{len(asked)} READINGS: {'; '.join(f'{n}) {m.label}' for n, m in enumerate(asked, 1))}."
    else:
        yield _heading(asked[0], "READING:")
    cautions = dict.fromkeys(c for m in asked for c in cautions_for(case, m, every=True))
    yield from _safety(case, tuple(cautions))
    for setup in {s.id: s for m in asked for s in setups_for(case, m, every=True)}.values():
        yield from _setup(case, setup)
    tools = dict.fromkeys(tool for m in asked for tool in m.tools)
    if tools:
        yield f"TOOLS: {'; '.join(kb.tools[tool].label for tool in tools)}."
    for number, m in enumerate(asked, 1):
        if several:
            yield _heading(m, f"READING {number}:")
        yield from _taking(case, m)
        if several and not m.numeric:
            yield f"CHOICES: {choices(m)}."
    if several:
        answers = ", ".join(f"{n} {example_value(case, m)}" for n, m in enumerate(asked, 1))
        failing = next(filter(None, (_failing(case, m) for m in asked)), "").replace("Add:", "Add to each:")
        yield f"REPLY e.g. {answers}.{failing} Not possible: 2 n/a."
    else:
        name, example = answer_example(case, asked[0])
        choice = "" if asked[0].numeric else f" Choices: {choices(asked[0])}."
        yield f"REPLY e.g. {example}.{choice}{_failing(case, asked[0])} Not possible: {name} n/a."


def _heading(m: Measurement, said: str) -> str:
    return f"{said} {m.label}{f' ({m.unit})' if m.unit else ''}. {m.asks}"


def _failing(case: Case, m: Measurement) -> str:
    return f" Add: {FAILING}, or: {case.kb.about.went_well}." if asks_whether_it_failed(case, m) else ""


def _taking(case: Case, m: Measurement) -> Iterator[str]:
    """What the machine does, the meter, where the leads go, the steps, what to expect."""
    kb = case.kb
    yield f"MACHINE: {kb.states[m.state].label}."
    if m.numeric:
        yield f"METER: {m.meter}"
    if has_leads(m):
        yield f"LEADS: {m.leads}"
    for colour, point in zip(("RED", "BLACK"), m.between or (), strict=False):
        yield f"{colour} LEAD: {kb.points[point].label}. {kb.points[point].touch}"
    for number, step in enumerate(m.steps, 1):
        yield f"{number}. {step}"
    yield from _expected(case, m)
    if m.misleads:
        yield f"BEWARE: {m.misleads}"


def _expected(case: Case, m: Measurement) -> Iterator[str]:
    facts = case.assessment.now.facts
    words = limit_words(m, facts)
    if words and m.numeric:
        limits = limit_set_in_force(m, facts)
        yield f"LIMIT: {words}. {limits.because} Source: {'; '.join(sources(case, limits.sources))}."
    for prediction in case.predictions(m.id):
        yield f"EXPECT, if it is {fault_label(case.kb, prediction.fault)}: {prediction_words(m, prediction)}."


def sources(case: Case, names: tuple[str, ...]) -> Iterator[str]:
    """Titles of the documents behind ids; an id that is not listed stands for itself."""
    for name in names:
        yield case.kb.references[name].title if name in case.kb.references else name


def _setup(case: Case, setup: Setup) -> Iterator[str]:
    yield f"READY: {setup.label} ({setup.minutes:g} min)."
    for way in case.guard.ways(setup):
        yield f"- {way.label}: {way.how} Suits: {way.suits} Danger: {way.risk}"


def _safety(case: Case, cautions: tuple[str, ...]) -> Iterator[str]:
    for name in cautions:
        yield f"SAFETY: {case.kb.cautions[name].text}"


def _repair(case: Case, repair: Repair, faults: tuple[str, ...]) -> Iterator[str]:
    kb = case.kb
    yield f"REPAIR: {repair.label} ({repair.minutes:g} min)."
    for fault in faults[:2]:
        yield f"CAUSE: {kb.faults[fault].label}. {kb.faults[fault].about}"
    yield from _safety(case, case.guard.cautions_before(repair, faults[:2]))
    for number, step in enumerate(case.guard.steps(repair, faults[:2]), 1):
        yield from _safety(case, step.cautions)
        yield f"{number}. {step.text}"
    proof = case.advisor.proof_reading(repair.id)
    if proof is not None:
        words = limit_words(proof, case.advisor.facts_repaired)
        yield f"PROOF AFTER IT: {proof.label}{f', {words}' if words else ''}."
    yield "REPLY: done, or what is in the way."


def _proof(case: Case, repair: str) -> Iterator[str]:
    yield f"PROOF of the repair: {case.kb.repairs[repair].label}."
    m = case.advisor.proof_reading(repair)
    if m is not None:
        yield from _readings(case, [m])
    yield f"THEN: {' '.join(tries_after(case)).removeprefix('Then ')}"
