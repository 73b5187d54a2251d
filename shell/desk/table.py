"""The cases of a desk as a table; a pure function of their summaries."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.shell.store.order import local_time, utc
from crankpath.shell.store.records import CaseSummary
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import age_words, fit, wrapped

NARROW = 60
_STATES = {"repaired": "proof due"}


def desk_table(
    cases: Sequence[CaseSummary],
    now: str,
    width: int,
    present: str = "",
    numbers: Sequence[str] | None = None,
) -> list[str]:
    """The cases numbered: name, age, last entry, state, what each waits for; on a narrow terminal below it.

    Args:
        cases: what to list.
        now: the time, ISO 8601.
        width: columns.
        present: id of the case that is open now; it is marked.
        numbers: the numbering, as ids; that of `cases` itself by default.
    """
    if not cases:
        return ["   There is no open case."]
    order = {case: n for n, case in enumerate(numbers or [case.id for case in cases], 1)}
    rows = _narrow if width < NARROW else _wide
    head = [] if width < NARROW else [_line("  #", " ", "case", "age", "last", "state", "waits for", width)]
    found = []
    for case in cases:
        number = f"{order.get(case.id, '-'):>3}"
        found += rows(case, number, "*" if case.id == present else " ", now, width)
    return [line.rstrip() for line in (*head, *found)]


def state_words(case: CaseSummary) -> str:
    """The state of a case as it is said."""
    return _STATES.get(case.state, case.state)


def waits_for(case: CaseSummary, now: str) -> str:
    """What the case waits for, for how long and until when; where nothing is awaited, the desk's own move."""
    if case.state == "closed":
        return ""
    said = []
    if case.due:
        late = utc(case.due) < utc(now)
        said.append(f"{'OVERDUE ' if late else ''}{local_time(case.due, now)} {case.promised}")
    if case.asked_at:
        asked = age_words(_since(case.asked_at, now))
        said.append(case.waits_for if asked == "now" else f"unanswered for {asked}: {case.waits_for}")
    elif case.waits_for and not (case.due and case.waits_for == case.promised):
        said.append(case.waits_for)
    return "; ".join(said) or "the next step"


def title(case: CaseSummary) -> str:
    """What a case is called: who has it, its machine if that is not in the name, its name."""
    named = case.machine and case.machine.casefold() not in case.name.casefold()
    holder = f"({case.holder}) " if case.holder else ""
    return one_line(holder + (f"{case.machine}: {case.name}" if named else case.name), 120)


def _wide(case: CaseSummary, number: str, mark: str, now: str, width: int) -> list[str]:
    age, last = age_words(case.age_seconds(now)), age_words(_since(case.updated_at, now))
    return [_line(number, mark, title(case), age, last, state_words(case), waits_for(case, now), width)]


def _line(number: str, mark: str, name: str, age: str, last: str, state: str, waits: str, width: int) -> str:
    room = width - len(number) - 1 - 8 - 8 - 10
    names = max(20, room * 6 // 10)
    parts = (mark, fit(name, names - 3), fit(age, 7), fit(last, 7), fit(state, 9), fit(waits, room - names))
    return " ".join((number, *parts))


def _narrow(case: CaseSummary, number: str, mark: str, now: str, width: int) -> list[str]:
    age, last = age_words(case.age_seconds(now)), age_words(_since(case.updated_at, now))
    waits = f", waits for {waits_for(case, now)}" if waits_for(case, now) else ""
    told = one_line(f"age {age}, last entry {last}, {state_words(case)}{waits}", 240)
    return [f"{number} {mark} {fit(title(case), width - 6)}", *wrapped(told, width, "      ")]


def _since(at: str, now: str) -> float:
    return (utc(now) - utc(at)).total_seconds()
