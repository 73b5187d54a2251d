"""From a case to its sheet: a pure function of the case and what people said beside it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any, Final, TypeVar, cast

from crankpath.engine.advice.explain import Reason
from crankpath.engine.cases.case import Case
from crankpath.engine.errors import CaseError
from crankpath.engine.inference.bands import limit_set_in_force
from crankpath.engine.inference.entries import CannotTake, Entry, Reading, Repaired
from crankpath.engine.knowledge.condition import FactValue
from crankpath.engine.knowledge.records import EquipmentFact
from crankpath.shell.outlets.messages.preparations import cautions_for
from crankpath.shell.outlets.pages.sheet.data import (
    FORMAT,
    CauseLine,
    CautionLine,
    EntryMeta,
    ExcludedFault,
    ProofLine,
    RepairLine,
    RuledOutLine,
    Sheet,
    SheetMeta,
    SheetRow,
    SourceLine,
)
from crankpath.shell.outlets.pages.sheet.figures import budgets, circuit_figures, figure, pairs
from crankpath.shell.outlets.pages.sheet.judging import mark_of
from crankpath.shell.outlets.reports.diagnosis import remarks, repair_sentence, shown_causes, verdict_sentence
from crankpath.shell.outlets.reports.readings import value_words
from crankpath.shell.outlets.reports.words import capital, factor, fault_label, holds_for
from crankpath.shell.session.screens.figures import limit_words
from crankpath.shell.text.clean import one_line

LONGEST_TEXT: Final = 600  # characters of one text on a sheet
_OUTCOMES: Final = {True: "cured", False: "not cured", None: "proof is due"}
_STATES: Final = {True: "repaired and proven", False: "repaired, not cured", None: "repaired, proof is due"}
_MOST_REASONS: Final = 3
_BARE: Final = re.compile(r"[\d.,+-]+")
_TELLING: Final = 1.15  # a factor nearer to one changed nothing worth telling
_TIME: Final = re.compile(r"(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d)(?::\d\d(?:\.\d+)?)?(?:Z|[+-]\d\d:?\d\d)?")


def sheet_of(case: Case, meta: SheetMeta = SheetMeta()) -> Sheet:  # noqa: B008 - a frozen record
    """The sheet of a case as it stands.

    Args:
        case: the engine's case.
        meta: names, words and times that people gave; see `SheetMeta`.
    """
    repairs = case.assessment.repairs
    rows = tuple(_rows(case, meta))
    causes = tuple(_causes(case, meta))
    cautions = tuple(dict.fromkeys(_caution_ids(case) if meta.cautions is None else meta.cautions))
    sheet = Sheet(
        format=FORMAT,
        subject=case.kb.about.label,
        stops=case.stops(),
        name=meta.name,
        machine=meta.machine,
        complaint=meta.complaint,
        about=meta.about,
        written_at=meta.written_at,
        fields=meta.fields,
        equipment=tuple(_equipment(case)),
        state=_state(case, meta.closed),
        rows=rows,
        circuit=circuit_figures(case, _failing(case, causes)),
        budgets=budgets(case),
        budgets_title=case.kb.about.budget.label if case.kb.about.budget else "",
        causes=causes,
        ruled_out=tuple(_ruled_out(case)),
        verdict=_verdict(case, meta.closed),
        repairs=tuple(_repair(case, entry, meta.closed) for entry in repairs),
        proofs=tuple(_proofs(case)),
        cranks=_cranks(case),
        warnings=tuple(remarks(case)),
        notes=tuple(replace(note, at=when_words(note.at)) for note in meta.notes),
        cautions=tuple(
            CautionLine(c, case.kb.cautions[c].short, case.kb.cautions[c].text)
            for c in cautions
            if c in case.kb.cautions
        ),
        cautions_kept=meta.cautions is not None,
        sources=tuple(_sources(case, rows)),
        files=meta.files,
        knowledge_version=case.kb.version,
        left_out_at_most=case.causes()[0].bound,
    )
    return _cleaned(sheet)


def _failing(case: Case, causes: tuple[CauseLine, ...]) -> tuple[str, ...]:
    """The segments of the cause on top, its own first, once it is confirmed or its repair is proven."""
    faults = case.kb.faults
    told = [(cause, faults[cause.fault]) for cause in causes if cause.fault is not None]
    if not causes or causes[0].fault is None:
        return ()
    first = told[0]
    same = [first] if first[0].confirmed else [pair for pair in told if pair[1].repair == first[1].repair]
    proven = first[0].confirmed or sum(c.probability for c, _ in same) >= case.kb.settings["proven_at"]
    return tuple(dict.fromkeys(place for _, fault in same for place in fault.places)) if proven else ()


_T = TypeVar("_T")


def _cleaned(thing: _T) -> _T:
    """The same records with every text in one line, without control characters, and not endless."""
    if isinstance(thing, str):
        return cast(_T, one_line(thing, LONGEST_TEXT))
    if isinstance(thing, tuple):
        return cast(_T, tuple(_cleaned(item) for item in thing))
    if is_dataclass(thing) and not isinstance(thing, type):
        values: dict[str, Any] = {f.name: _cleaned(getattr(thing, f.name)) for f in fields(thing)}
        return cast(_T, type(thing)(**values))
    return thing


def _equipment(case: Case) -> Iterator[tuple[str, str]]:
    for name, value in case.equipment.items():
        fact = case.kb.equipment.get(name)
        if fact is not None and not (fact.default is False and value is False):
            yield fact.label, _fact_words(fact, value)


def _fact_words(fact: EquipmentFact, value: FactValue) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    said = f"{value:g}" if isinstance(value, float) else str(value).replace("_", " ")
    unit = {"degC": "°C"}.get(fact.unit or "", fact.unit)
    return f"{said} {unit}" if unit else said


def _rows(case: Case, meta: SheetMeta) -> Iterator[SheetRow]:
    repair_epoch = 0
    for n, entry in enumerate(case.entries):
        told = meta.told[n] if n < len(meta.told) else EntryMeta()
        yield _row(case, n + 1, entry, repair_epoch, told, meta.closed)
        repair_epoch += isinstance(entry, Repaired)


def _row(case: Case, number: int, entry: Entry, repair_epoch: int, told: EntryMeta, closed: bool) -> SheetRow:
    kb = case.kb
    said: dict[str, Any] = {"remark": told.note, "at": when_words(told.at), "by": told.by}
    match entry:
        case Reading():
            return _reading_row(case, number, entry, repair_epoch, told)
        case CannotTake():
            m = kb.measurements[entry.measurement]
            return SheetRow(number, "cannot", m.label, "cannot be taken here", measurement=m.id, **said)
        case Repaired():
            label = kb.repairs[entry.repair].label
            return SheetRow(number, "repaired", f"REPAIR: {label}", _outcome(entry, closed), **said)
        case _:
            counted = f"failed {entry.failures} of {entry.of}" + ", waiting for a failure" * entry.waiting
            return SheetRow(number, "tries", kb.about.tries, counted, **said)


def _reading_row(case: Case, number: int, entry: Reading, repair_epoch: int, told: EntryMeta) -> SheetRow:
    m = case.assessment.model.measurements[entry.measurement]
    context = case.assessment.context(repair_epoch, entry.symptom)
    trusted = m.id not in context.distrusted
    stands = case.assessment.stands(entry)
    said = [told.note, entry.note or ""]
    if not entry.symptom and case.assessment.shows(m):
        said.append(f"while it {case.kb.about.went_well}")
    if not stands:
        said.append("set aside: a later reading replaced it")
    elif not trusted:
        said.append(f"not used: {case.kb.facts[context.distrusted[m.id]].because}")
    sources: tuple[str, ...] = ()
    if m.numeric:
        try:
            sources = limit_set_in_force(m, context.facts).sources
        except CaseError:
            sources = ()
    return SheetRow(
        number,
        "reading",
        m.label if entry.cable == 1 else f"{m.label}, cable {entry.cable}",
        value_words(m, entry.value),
        entry.text,
        (limit_words(m, context.facts) or "") if m.numeric else "",
        mark_of(m, entry.value, context.facts) if trusted and stands else "none",
        "; ".join(text for text in said if text),
        when_words(told.at),
        told.by,
        m.id,
        sources,
        not stands,
    )


def when_words(at: str) -> str:
    """A time as a person writes it; what is no ISO 8601 time stays as it is.

    >>> when_words("2026-01-05T10:00:09.5Z"), when_words("yesterday")
    ('2026-01-05 10:00', 'yesterday')
    """
    found = _TIME.fullmatch(at)
    return f"{found[1]} {found[2]}" if found else at


def _causes(case: Case, meta: SheetMeta) -> Iterator[CauseLine]:
    shown = {cause.fault: cause for cause in shown_causes(case)}
    for cause in case.causes():
        if cause.fault in meta.confirmed:
            shown.setdefault(cause.fault, cause)
    for cause in sorted(shown.values(), key=lambda c: (c.fault not in meta.confirmed, -c.probability)):
        confirmed = cause.fault is not None and cause.fault in meta.confirmed
        label = fault_label(case.kb, cause.fault)
        why = case.why(cause.fault)
        speak = [r for r in why if r.factor >= _TELLING][:_MOST_REASONS]
        oppose = [r for r in why if r.factor <= 1 / _TELLING][:1]
        said = tuple(_reasons(case, speak)), tuple(_reasons(case, oppose))
        numbers = tuple(dict.fromkeys(n for reason in speak for n in _numbers(case, reason)))
        yield CauseLine(cause.fault, label, cause.probability, confirmed, *said, numbers)


def _reasons(case: Case, found: Sequence[Reason]) -> Iterator[str]:
    for reason in found:
        away = "" if reason.symptom else f", on a good {case.kb.about.one_try}"
        because = f". {capital(reason.because)}" if reason.because else ""
        yield f"{_read(case, reason)}{away}{_number(case, reason)}: {factor(reason.factor)}{because}"


def _number(case: Case, reason: Reason) -> str:
    takes = _numbers(case, reason)
    return f" (no. {', '.join(map(str, takes))})" if takes else ""


def _numbers(case: Case, reason: Reason) -> list[int]:
    """Where the reading of a reason stands in the table; several takes have several numbers."""
    return [
        n
        for n, entry in enumerate(case.entries, 1)
        if isinstance(entry, Reading)
        and entry.measurement == reason.measurement
        and (entry.symptom, case.assessment.stands(entry)) == (reason.symptom, True)
        and entry.text in reason.text
    ]


def _read(case: Case, reason: Reason) -> str:
    """A reading as typed, a bare number with its unit; an observation's ids in words."""
    if reason.measurement is None:
        return f"outcome of the repair {reason.text}"
    m = case.kb.measurements[reason.measurement]
    text = reason.text
    if not m.numeric:
        text = " and ".join(value_words(m, value) for value in text.split(" and "))
    elif _BARE.fullmatch(text.strip()):
        text = f"{text} {m.unit}"
    return f"{m.label} {text}"


def _ruled_out(case: Case) -> Iterator[RuledOutLine]:
    groups: dict[str, list[ExcludedFault]] = {}
    for gone in case.ruled_out():
        fault = ExcludedFault(case.kb.faults[gone.fault].label, gone.before, gone.now)
        groups.setdefault(_read(case, gone.by) + _number(case, gone.by), []).append(fault)
    for by, faults in groups.items():
        yield RuledOutLine(by, tuple(faults))


def _verdict(case: Case, closed: bool) -> str:
    repairs, verdict = case.assessment.repairs, case.verdict()
    if closed and not (repairs and repairs[-1].cured):
        if not repairs:
            return "Closed, nothing repaired."
        return f"Closed after: {case.kb.repairs[repairs[-1].repair].label}; no cure was recorded."
    if verdict.action == "measure" and verdict.measurement is not None and repair_sentence(case) is None:
        open_still = "Not cured yet" if repairs else "Not proven yet"
        return f"{open_still}. Next reading: {case.kb.measurements[verdict.measurement].label}."
    sentence = verdict_sentence(case, verdict)
    return capital(sentence)


def _state(case: Case, closed: bool) -> str:
    repairs = case.assessment.repairs
    if not repairs:
        return "not repaired" if closed else "not repaired yet"
    return "closed, no cure recorded" if closed and repairs[-1].cured is None else _STATES[repairs[-1].cured]


def _outcome(entry: Repaired, closed: bool) -> str:
    return "no cure recorded" if closed and entry.cured is None else _OUTCOMES[entry.cured]


def _repair(case: Case, entry: Repaired, closed: bool) -> RepairLine:
    repair = case.kb.repairs[entry.repair]
    return RepairLine(repair.id, repair.label, _outcome(entry, closed), tuple(s.text for s in repair.steps))


def _proofs(case: Case) -> Iterator[ProofLine]:
    """The reading that proves the last repair, and every other one that was taken before and after it."""
    repairs = case.assessment.repairs
    if not repairs:
        return
    read = pairs(case)
    proof = case.advisor.proof_reading(repairs[-1].repair)
    again = [name for name, pair in read.items() if None not in (pair.before, pair.after)]
    names = dict.fromkeys(([proof.id] if proof is not None else []) + again)
    facts = case.assessment.now.facts
    for name in names:
        m = case.kb.measurements[name]
        limit = (limit_words(m, facts) or "") if m.numeric else ""
        if name in read:
            said = figure(case, read[name])
            yield ProofLine(m.label, said.before, said.after, limit, said.mark)
        else:
            yield ProofLine(m.label, "", "", limit, "none")


def _cranks(case: Case) -> str:
    proof = case.crank_proof()
    if proof is None or not case.assessment.repairs:
        return ""
    failures, of = case.assessment.tries
    good = f"{of - failures} good {case.kb.about.tries} of {of} since the repair"
    return f"{good}; {proof.cranks} in a row without a failure prove it, {holds_for(proof)}."


def _caution_ids(case: Case) -> Iterator[str]:
    """Those that go with the readings taken and the repairs made."""
    for entry in case.entries:
        if isinstance(entry, Reading):
            m = case.assessment.model.measurements[entry.measurement]
            yield from cautions_for(case, m, every=True)
        elif isinstance(entry, Repaired):
            yield from case.guard.cautions_of_repair(case.kb.repairs[entry.repair])


def _sources(case: Case, rows: tuple[SheetRow, ...]) -> Iterator[SourceLine]:
    used = [source for row in rows for source in row.sources]
    for cause in shown_causes(case):
        for reason in case.why(cause.fault)[:_MOST_REASONS]:
            used += reason.sources
    for name in dict.fromkeys(used):
        reference = case.kb.references.get(name)
        title, standing = (reference.title, reference.standing) if reference else (name, "")
        yield SourceLine(name, title, standing.replace("_", " "))
