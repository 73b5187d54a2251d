"""A case of the knowledge base held against what it says must come out of it.

Pure: a case file in, what came out otherwise, with the readings, the ranking and the rules
that made the difference. ``never`` is held after every entry, everything else at the end.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass

from crankpath.engine.advice.advisor import Verdict
from crankpath.engine.advice.explain import Reason
from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import (
    NOT_LISTED,
    CannotEntry,
    CaseEntry,
    CaseFile,
    Expect,
    ReadingEntry,
    RepairedEntry,
    TriesEntry,
    read_case,
)
from crankpath.engine.cases.replay import enter, replay
from crankpath.engine.inference.entries import Reading
from crankpath.engine.knowledge.problems import Problem
from crankpath.engine.knowledge.records import Knowledge, Origin

_MOST_REASONS = 4
_NAMED = 0.9  # a little below worth_trying, so that rounding cannot hide a conclusion


@dataclass(frozen=True, slots=True)
class Failure:
    """One expectation of a case that did not hold.

    what: first, repair, verdict, chance, next, never or says. after: the entry it was seen
    after, empty for the end. about: faults whose reasons tell the difference.
    """

    what: str
    expected: str
    got: str
    after: str = ""
    about: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CaseResult:
    """The result of one case.

    problems: slips in the file, with their places (a case with any was not tried). entries:
    as they were entered, in words. ranking: fault or `NOT_LISTED` and its chance, likeliest
    first. reasons: fault -> what speaks for and against it, strongest first.
    """

    file: str
    about: str
    origin: Origin
    problems: tuple[Problem, ...] = ()
    failures: tuple[Failure, ...] = ()
    entries: tuple[str, ...] = ()
    ranking: tuple[tuple[str, float], ...] = ()
    reasons: tuple[tuple[str, tuple[Reason, ...]], ...] = ()

    @property
    def passed(self) -> bool:
        """True if everything came out as it must."""
        return not self.problems and not self.failures


def check_text(kb: Knowledge, text: bytes | str, file: str) -> CaseResult:
    """Read a case file and check it."""
    case, problems = read_case(text, file)
    if case is None:
        return CaseResult(file, "", Origin(file, 1, 1), problems)
    return check_case(kb, case, file)


def check_case(kb: Knowledge, written: CaseFile, file: str = "case") -> CaseResult:
    """Replay a case and compare it with what it expects."""
    about = written.about or ""
    replayed = replay(kb, written)
    if written.expect is None:
        advice = "Add 'expect:', for example 'expect: {first: positive_cable}'"
        here = Origin(file, 1, 1)
        return CaseResult(file, about, here, (Problem(here, "the case expects nothing", advice),))
    expect = written.expect
    if replayed.problems or replayed.case is None:
        return CaseResult(file, about, expect.origin, replayed.problems)
    case = Case(kb, written.equipment, frozenset(written.lacks)) if expect.never else replayed.case
    failures = (*_on_the_way(case, written, expect), *_at_the_end(case, expect))
    entries = tuple(told_entry(entry) for entry in written.entries)
    if not failures:
        return CaseResult(file, about, expect.origin, entries=entries)
    ranking = tuple((cause.fault or NOT_LISTED, cause.probability) for cause in case.causes())
    about_faults = dict.fromkeys(name for failure in failures for name in failure.about)
    reasons = tuple((name, _reasons(case, name)) for name in about_faults if _known(case, name))
    return CaseResult(file, about, expect.origin, (), failures, entries, ranking, reasons)


def told_entry(entry: CaseEntry) -> str:
    """An entry of a case file in a few words."""
    match entry:
        case ReadingEntry():
            away = "" if entry.symptom else " (symptom away)"
            return f"{entry.measurement} {entry.value}{away}"
        case CannotEntry():
            return f"cannot take {entry.measurement}"
        case TriesEntry():
            return f"{entry.failures} failures in {entry.of} tries"
        case RepairedEntry():
            how = {True: "cured", False: "not cured", None: "outcome not known"}[entry.cured]
            return f"{entry.repair} done, {how}"
        case _:
            return "note"


def _on_the_way(case: Case, written: CaseFile, expect: Expect) -> Iterator[Failure]:
    """What must never be concluded and was, at the first entry after which it was.

    The entries are put into the case one by one, if anything must never be concluded.
    """
    left = set(expect.never)
    if not left:
        return
    for entry in written.entries:
        enter(case, entry)
        if not _thinkable(case, left):
            continue
        verdict = case.verdict()
        for name in sorted(left & _concluded(verdict)):
            left.discard(name)
            yield Failure("never", name, _told_verdict(verdict), told_entry(entry), verdict.faults[:2])


def _thinkable(case: Case, names: Collection[str]) -> bool:
    """False if no repair of these (or of these faults) is likely enough to be named now.

    Saves working out the verdict: nothing below the setting ``worth_trying`` is ever named.
    """
    chances: dict[str, float] = {}
    for cause in case.causes():
        if cause.repair is not None:
            chances[cause.repair] = chances.get(cause.repair, 0.0) + cause.probability
    faults = case.kb.faults
    repairs = {faults[name].repair if name in faults else name for name in names}
    return any(chances.get(repair, 0.0) >= _NAMED * case.kb.settings["worth_trying"] for repair in repairs)


def _concluded(verdict: Verdict) -> set[str]:
    if verdict.action != "repair":
        return set()
    return {*verdict.faults, *([verdict.repair] if verdict.repair else [])}


def _at_the_end(case: Case, expect: Expect) -> Iterator[Failure]:
    yield from _first(case, expect)
    yield from _chances(case, expect)
    verdict = case.verdict()
    if expect.repair is not None and _likeliest_repair(case) != expect.repair:
        cured = [f.id for f in case.assessment.model.faults.values() if f.repair == expect.repair]
        got = _likeliest_repair(case) or "none"
        yield Failure("repair", expect.repair, got, about=(*cured[:1], *_top(case)))
    for field, wanted in expect.verdict.items():
        got = getattr(verdict, field) or "none"
        if got != wanted:
            yield Failure("verdict", f"{field} {wanted}", _told_verdict(verdict), about=_top(case))
    if expect.next:
        suggested = verdict.measurement or next((s.measurement for s in case.suggestions()), "none")
        if suggested not in expect.next:
            yield Failure("next", " or ".join(expect.next), suggested, about=_top(case))
    said = "\n".join(_said(case, verdict))
    for piece in expect.says:
        if piece not in said:
            yield Failure("says", f"'{piece}'", f"'{said}'" if said else "no warning at all")


def _first(case: Case, expect: Expect) -> Iterator[Failure]:
    likeliest = case.causes()[0].fault
    if expect.first_stated and likeliest != expect.first:
        wanted, got = expect.first or NOT_LISTED, likeliest or NOT_LISTED
        yield Failure("first", wanted, got, about=(wanted, got))


def _chances(case: Case, expect: Expect) -> Iterator[Failure]:
    chances = {cause.fault or NOT_LISTED: cause.probability for cause in case.causes()}
    for name, (least, most) in expect.chance.items():
        chance = chances.get(name, 0.0)
        if not least <= chance <= most:
            yield Failure("chance", f"{name} from {least:g} to {most:g}", f"{chance:.3g}", about=(name,))


def _likeliest_repair(case: Case) -> str | None:
    """The repair in the verdict, or else the one that most likely cures."""
    verdict = case.verdict()
    if verdict.action == "repair":
        return verdict.repair
    sums: dict[str, float] = {}
    for cause in case.causes():
        if cause.repair is not None:
            sums[cause.repair] = sums.get(cause.repair, 0.0) + cause.probability
    return max(sums, key=lambda repair: sums[repair], default=None)


def _said(case: Case, verdict: Verdict) -> Iterable[str]:
    notes = (e.note for e in case.entries if isinstance(e, Reading) and e.note)
    cautions = (case.kb.cautions[remark.text].text for remark in case.assessment.now.cautions)
    return (*case.warnings(), *notes, *cautions, verdict.because)


def _told_verdict(verdict: Verdict) -> str:
    what = verdict.repair if verdict.action == "repair" else verdict.measurement
    return " ".join(part for part in (verdict.action, what, f"({verdict.probability:.2f})") if part)


def _top(case: Case) -> tuple[str, ...]:
    return (case.causes()[0].fault or NOT_LISTED,)


def _known(case: Case, name: str) -> bool:
    return name == NOT_LISTED or name in case.assessment.model.faults


def _reasons(case: Case, name: str) -> tuple[Reason, ...]:
    return case.why(None if name == NOT_LISTED else name)[:_MOST_REASONS]
