"""A typed line as readings: the value of what was asked, or several by name."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.records import HISTORY_KIND, Knowledge, Measurement
from crankpath.shell.outlets.reports.readings import value_words
from crankpath.shell.reader.numbered import read_answers
from crankpath.shell.reader.pieces.tallies import Tally, tally_in
from crankpath.shell.reader.proposals import Doubt, Note, Understanding
from crankpath.shell.reader.reader import DECIMAL_COMMA
from crankpath.shell.session.outcome import Choice, Outcome, Pending, Write
from crankpath.shell.session.state import asks_symptom

_TOGETHER: Final = 2  # readings that have a crank in common
_CABLE: Final = re.compile(r"\bcable\s*#?([1-6])\b[:,]?", re.IGNORECASE)


def understood(case: Case, text: str, asked: Sequence[str]) -> Understanding:
    """What a text says of a case as an answer to these readings, its commas read by the case's habit."""
    read = [entry.text for entry in case.entries if isinstance(entry, Reading)]
    comma = any(DECIMAL_COMMA.search(str(said)) for said in read[-10:])
    return read_answers(text, case.kb, case.assessment.now.facts, asked, comma)


def readings(case: Case, typed: str, asked: str | None) -> Outcome | None:
    """The line as entries and what must be asked back; None if nothing in it is a reading."""
    text, cable = _cable(case.kb.measurements[asked], typed) if asked else (typed, 1)
    found = understood(case, text, [asked] if asked else [])
    pending = next(_asked_back(case, found), None)
    shared = pending is not None and all(asks_symptom(case, o.measurement) for o in pending.options)
    writes = on_one_crank(case, tuple(_writes(case, found, asked, cable)), int(shared))
    if pending is not None and shared:
        cranks = {w.body["crank"] for w in writes if "crank" in w.body}
        pending = replace(pending, crank=next(iter(cranks), None))
    if not writes and pending is None:
        return None
    lines = [f"Taken as: {p.understood.note}." for p in found.taken if p.understood.note]
    lines += [f"? Not taken: {not_taken(note)}." for note in found.notes]
    return Outcome(lines=tuple(lines), writes=writes, pending=pending, again=pending is None)


def on_one_crank(case: Case, writes: Sequence[Write], asked_back: int = 0) -> tuple[Write, ...]:
    """The entries; readings of a fault that comes and goes that were told together are of one crank.

    asked_back: how many more readings of that crank were told, but have yet to be sure.
    """
    told = [w for w in writes if w.kind == "reading" and asks_symptom(case, str(w.body["measurement"]))]
    once = {w.body["measurement"] for w in told}
    alike = len(once) == len(told) and len({w.body["symptom"] for w in told}) == 1
    if not alike or len(told) + asked_back < _TOGETHER:
        return tuple(writes)
    crank = {"crank": case.next_crank}
    return tuple(replace(w, body={**w.body, **crank}) if w in told else w for w in writes)


def not_taken(note: Note) -> str:
    """Words that were not taken, and why."""
    return f"{note.words} ({note.why})" if note.why else note.words


def tallies(kb: Knowledge, found: Understanding) -> Iterator[Tally]:
    """The tries that a text counts: beside its readings, or as the answer to how often it fails."""
    often = (p.words for p in found.taken if HISTORY_KIND in kb.measurements[p.measurement].kinds)
    told = (tally_in(said, kb) for said in (*found.talk, *often))
    return (tally for tally in told if tally is not None)


def _cable(m: Measurement, typed: str) -> tuple[str, int]:
    found = _CABLE.search(typed) if m.parallel else None
    if found is None:
        return typed, 1
    return (typed[: found.start()] + typed[found.end() :]).strip(), int(found[1])


def _writes(case: Case, found: Understanding, asked: str | None, cable: int) -> Iterator[Write]:
    here = case.assessment.model.measurements
    for p in found.taken:
        if p.measurement in here:
            body = {"measurement": p.measurement, "text": p.text, "symptom": p.symptom}
            which = {"cable": cable} if cable != 1 and p.measurement == asked else {}
            yield Write("reading", body | which)
    for measurement, _ in found.cannot:
        if measurement in here:
            yield Write("cannot", {"measurement": measurement})
    if asked and HISTORY_KIND in case.kb.measurements[asked].kinds:
        yield from (Write("tries", tally.body()) for tally in tallies(case.kb, found))


def _asked_back(case: Case, found: Understanding) -> Iterator[Pending]:
    for doubt in found.asked:
        options = tuple(_options(case, doubt))
        if options:
            yield Pending(doubt.message.replace("?.", "?"), options, doubt.symptom)


def _options(case: Case, doubt: Doubt) -> Iterator[Choice]:
    here = case.assessment.model.measurements
    for option in doubt.options:
        if option.measurement in here and option.value is not None:
            m = here[option.measurement]
            yield Choice(m.id, option.text, f"{m.short} {value_words(m, option.text)}")
