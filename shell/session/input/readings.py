"""A typed line as readings: one value for what was asked, or several by name."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError, DoubtfulReading
from crankpath.engine.knowledge.records import Measurement
from crankpath.shell.replies.reply import Doubt, ParsedReply, parse_reply
from crankpath.shell.session.outcome import Option, Outcome, Pending, Write
from crankpath.shell.session.screens.wording import value_words

_CABLE: Final = re.compile(r"\bcable\s*#?([1-6])\b[:,]?", re.IGNORECASE)
_FAILED: Final = re.compile(r"[,;]?\s*\b(failed|failing|while failing)\b\s*$", re.IGNORECASE)
_AWAY: Final = re.compile(r"[,;]?\s*\b(away|cranked well|good crank)\b\s*$", re.IGNORECASE)


def reading(case: Case, measurement: str, typed: str) -> Outcome | None:
    """The line as one value of a measurement; None if it is no value of it."""
    typed, symptom = told_symptom(typed)
    text, cable = _cable(case.kb.measurements[measurement], typed)
    m = case.kb.measurements[measurement]
    if not m.numeric and text.isdecimal() and 1 <= int(text) <= len(m.choices):
        text = m.choices[int(text) - 1]
    try:
        understood = case.read(measurement, text)
    except DoubtfulReading as doubt:
        return _doubted(m, str(doubt), doubt.suggestion, symptom)
    except CaseError:
        return None
    said = (f"Taken as: {understood.note}.",) if understood.note else ()
    return Outcome(lines=said, writes=(_write(measurement, text, symptom, cable),))


def told_symptom(typed: str) -> tuple[str, bool | None]:
    """The line without its last words "failed" or "away", and what they told.

    >>> told_symptom("310 mV, away"), told_symptom("310 mV failed"), told_symptom("310 mV")
    (('310 mV', False), ('310 mV', True), ('310 mV', None))
    """
    for pattern, symptom in ((_FAILED, True), (_AWAY, False)):
        found = pattern.search(typed)
        if found and found.start() > 0:
            return typed[: found.start()].strip(), symptom
    return typed, None


def _cable(m: Measurement, typed: str) -> tuple[str, int]:
    found = _CABLE.search(typed) if m.parallel else None
    if found is None:
        return typed, 1
    return (typed[: found.start()] + typed[found.end() :]).strip(), int(found[1])


def _write(measurement: str, text: str, symptom: bool | None, cable: int = 1) -> Write:
    body = {"measurement": measurement, "text": text, "symptom": symptom}
    return Write("reading", body | ({"cable": cable} if cable != 1 else {}))


def _doubted(m: Measurement, message: str, suggestion: str | None, symptom: bool | None) -> Outcome:
    if suggestion is None:
        return Outcome(lines=(f"? {message}",), again=False)
    option = Option(m.id, suggestion, f"{m.short} {suggestion}")
    return Outcome(pending=Pending(message.replace("?.", "?"), (option,), symptom), again=False)


def several(case: Case, typed: str, expecting: str | None) -> Outcome | None:
    """The line as a reply that names its readings; None if nothing in it is a reading."""
    typed, symptom = told_symptom(typed)
    parsed = parse_reply(typed, case.kb, case.assessment.now.facts, expecting)
    writes = tuple(_from_reply(case, parsed, symptom))
    lines = [f"? Not understood: {piece}" for piece in parsed.unknown] if writes or parsed.doubtful else []
    pending = next(_asked_back(case, parsed), None)
    if not writes and pending is None:
        return None
    return Outcome(lines=tuple(lines), writes=writes, pending=pending, again=pending is None)


def _from_reply(case: Case, parsed: ParsedReply, symptom: bool | None) -> Iterator[Write]:
    here = case.assessment.model.measurements
    for found in parsed.readings:
        if found.measurement in here:
            value = found.understood.value
            text = value if isinstance(value, str) else found.understood.text
            told = symptom if found.symptom is None else found.symptom
            yield _write(found.measurement, text, told)
    for measurement, _ in parsed.cannot:
        if measurement in here:
            yield Write("cannot", {"measurement": measurement})


def _asked_back(case: Case, parsed: ParsedReply) -> Iterator[Pending]:
    for doubt in parsed.doubtful:
        options = tuple(_options(case, doubt))
        if options:
            yield Pending(doubt.message, options)


def _options(case: Case, doubt: Doubt) -> Iterator[Option]:
    here = case.assessment.model.measurements
    for measurement in doubt.measurements[:6]:
        if measurement not in here:
            continue
        m = here[measurement]
        for text in doubt.values or ((doubt.text,) if len(doubt.measurements) > 1 else ()):
            try:
                case.read(measurement, text)
            except CaseError:
                text = re.sub(r"^[^\d+-]*", "", text)
            try:
                case.read(measurement, text)
            except CaseError:
                continue
            yield Option(measurement, text, f"{m.short} {value_words(m, text)}")
