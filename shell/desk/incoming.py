"""A pasted reply as entries for the case, what must be asked about it, and what was not understood."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge, Measurement
from crankpath.shell.outlets.reports.readings import amount, value_words
from crankpath.shell.reader.pieces.tallies import tally_in
from crankpath.shell.reader.pieces.tokens import LONGEST
from crankpath.shell.reader.proposals import Doubt, Proposal, Understanding
from crankpath.shell.session.input.readings import not_taken, on_one_crank, tallies, understood
from crankpath.shell.session.outcome import Write
from crankpath.shell.session.state import CaseState
from crankpath.shell.text.clean import one_line

_COUNTED: Final = frozenset(("failed", "tries", "times"))
_NOT_CURED: Final = re.compile(r"\bnot\s+(?:cured|fixed)\b", re.IGNORECASE)
_CURED: Final = re.compile(r"\b(?:cured|fixed)\b", re.IGNORECASE)
_DONE: Final = re.compile(r"(?:(?:repair|all|its|it's|it is)\s+)?done\b[\s.!]*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ReplyItem:
    """An entry that a reply makes, and how it is shown for confirming."""

    write: Write
    says: str


@dataclass(frozen=True, slots=True)
class Ask:
    """Something doubtful: the sentence that asks, and what it may be; none: it must be sent again."""

    message: str
    options: tuple[ReplyItem, ...]


@dataclass(frozen=True, slots=True)
class Incoming:
    """A reply taken apart. unknown: sentences on what was not understood or cannot be here."""

    items: tuple[ReplyItem, ...]
    asks: tuple[Ask, ...]
    unknown: tuple[str, ...]


def incoming(
    state: CaseState, text: str, expecting: Sequence[str] = (), repair: str | None = None, older: str = ""
) -> Incoming:
    """What a reply says of this case; nothing of it is left out without a word.

    Args:
        state: the case.
        text: the reply as pasted, without its reference.
        expecting: the readings that were asked for, in the order of their questions.
        repair: the repair that was asked for.
        older: which message it answers, if that is not the newest; then each of its readings is asked about.
    """
    case = state.case
    parsed = understood(case, text, expecting)
    here = case.assessment.model.measurements
    asks = tuple(_ask(case, doubt) for doubt in parsed.asked)
    found = [_item(case, p) for p in parsed.taken if p.measurement in here]
    crank = on_one_crank(case, [item.write for item in found])
    found = [replace(item, write=write) for item, write in zip(found, crank, strict=True)]
    found += [_cannot(here[m], said) for m, said in parsed.cannot if m in here]
    found += _answers(state, parsed, repair)
    found += _words(state, text, parsed, bool(found))
    if older:
        holds = f"It answers {older}: does this still hold now"
        asks = (*asks, *(Ask(holds, (item,)) for item in found if _reads(item)))
        found = [item for item in found if not _reads(item)]
    return Incoming(
        tuple(found),
        tuple(ask for ask in asks if ask.options),
        tuple(_unknown(case, parsed, [ask for ask in asks if not ask.options])),
    )


def _reads(item: ReplyItem) -> bool:
    return item.write.kind == "reading"


def _item(case: Case, p: Proposal) -> ReplyItem:
    return reading_item(case, case.kb.measurements[p.measurement], p.text, p.symptom, p.words)


def reading_item(case: Case, m: Measurement, text: str, symptom: bool | None, said: str) -> ReplyItem:
    """The entry of one reading. Raises CaseError if the text is no value of it."""
    read = case.read(m.id, text)
    value = str(read.value) if isinstance(read.value, str) else _amount(float(read.value), m.unit or "")
    shown = value_words(m, value)
    when = {True: ", while it failed", False: f", while it {case.kb.about.went_well}", None: ""}[symptom]
    note = f", {read.note}" if read.note else ""
    says = f'{m.short}: {shown}{when}{note}   ("{one_line(said, 60)}")'
    return ReplyItem(Write("reading", {"measurement": m.id, "text": text, "symptom": symptom}), says)


def _amount(value: float, unit: str) -> str:
    return amount(value, unit) if math.isfinite(value) else "open, off the scale"


def _cannot(m: Measurement, said: str) -> ReplyItem:
    return ReplyItem(
        Write("cannot", {"measurement": m.id}), f'{m.short}: cannot be taken there   ("{one_line(said, 60)}")'
    )


def _answers(state: CaseState, parsed: Understanding, repair: str | None) -> Iterator[ReplyItem]:
    """Answers that are no readings: tries counted, a repair made, cured or not."""
    pending = state.repair_pending
    for tally in tallies(state.kb, parsed):
        yield ReplyItem(Write("tries", tally.body()), f"tries: {tally} failed")
    for said in parsed.talk:
        if repair is not None and pending is None and _DONE.fullmatch(said):
            label = state.kb.repairs[repair].label
            yield ReplyItem(Write("repaired", {"repair": repair, "cured": None}), f"repair made: {label}")
        elif pending is not None and _CURED.search(said):
            cured = not _NOT_CURED.search(said)
            label = f"{'cured' if cured else 'not cured'} by: {state.kb.repairs[pending.repair].label}"
            yield ReplyItem(Write("repaired", {"repair": pending.repair, "cured": cured}), label)


def _words(state: CaseState, text: str, parsed: Understanding, else_found: bool) -> Iterator[ReplyItem]:
    """The complaint, where none was told yet; else the sentences with talk in them, whole, as a note."""
    if state.complaint is None:
        said = one_line(text, LONGEST)
        yield ReplyItem(Write("complaint", {"text": said}), f'complaint: "{said}"')
        return
    kb = state.kb
    talk = [t for t in parsed.talk if not (else_found and (_is_answer(t) or _is_tally(t, kb)))]
    if talk:
        said = one_line("; ".join(_sentences(text, talk)) or "; ".join(talk), LONGEST)
        yield ReplyItem(Write("note", {"text": said}), f"note: {said}")


def _sentences(text: str, talk: list[str]) -> Iterator[str]:
    """The sentences of a text that hold the words of some talk: a word cut out of its sentence misleads."""
    wanted = [set(said.lower().split()) for said in talk]
    for sentence in re.split(r"[\n;!?]+|\.(?=\s|$)", text):
        words = set(re.findall(r"[\w']+", sentence.lower()))
        if any(said <= words for said in wanted):
            yield sentence.strip()


def _is_answer(said: str) -> bool:
    return bool(_DONE.fullmatch(said) or _CURED.fullmatch(said))


def _is_tally(said: str, kb: Knowledge) -> bool:
    tally = tally_in(said, kb)
    return tally is not None and not set(said.lower().replace(tally.words.lower(), "").split()) - _COUNTED


def _ask(case: Case, doubt: Doubt) -> Ask:
    return Ask(f"{doubt.message.rstrip('.')}", tuple(_options(case, doubt)))


def _options(case: Case, doubt: Doubt) -> Iterator[ReplyItem]:
    here = case.assessment.model.measurements
    for option in doubt.options:
        if option.measurement in here and option.value is not None:
            yield reading_item(case, here[option.measurement], option.text, doubt.symptom, doubt.words)


def _unknown(case: Case, parsed: Understanding, lost: list[Ask]) -> Iterator[str]:
    here, known = case.assessment.model.measurements, case.kb.measurements
    for ask in lost:
        yield f"Not taken: {ask.message}."
    for note in parsed.notes:
        yield f'Not taken: "{one_line(not_taken(note), 80)}".'
    if parsed.cut:
        yield f"The last {parsed.cut} characters were not read; the reply is too long."
    elsewhere = [(p.measurement, p.words) for p in parsed.taken] + list(parsed.cannot)
    for name, said in elsewhere:
        if name not in here:
            yield f'This machine has no {known[name].label}: "{one_line(said, 60)}" is left out.'
