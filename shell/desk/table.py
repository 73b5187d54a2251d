"""The cases of a desk as a table; a pure function of their summaries."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.shell.store.order import utc
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


def waits_for(case: CaseSummary) -> str:
    """What the case waits for; where nothing is awaited, the next move is the desk's own."""
    return case.waits_for or ("" if case.state == "closed" else "the next step")


def title(case: CaseSummary) -> str:
    """What a case is called: its machine first, if it is not in the name."""
    named = case.machine and case.machine.casefold() not in case.name.casefold()
    return one_line(f"{case.machine}: {case.name}" if named else case.name, 120)


def _wide(case: CaseSummary, number: str, mark: str, now: str, width: int) -> list[str]:
    age, last = age_words(case.age_seconds(now)), age_words(_since(case.updated_at, now))
    return [_line(number, mark, title(case), age, last, state_words(case), waits_for(case), width)]


def _line(number: str, mark: str, name: str, age: str, last: str, state: str, waits: str, width: int) -> str:
    room = width - len(number) - 1 - 8 - 8 - 10
    names = max(20, room * 6 // 10)
    parts = (mark, fit(name, names - 3), fit(age, 7), fit(last, 7), fit(state, 9), fit(waits, room - names))
    return " ".join((number, *parts))


def _narrow(case: CaseSummary, number: str, mark: str, now: str, width: int) -> list[str]:
    age, last = age_words(case.age_seconds(now)), age_words(_since(case.updated_at, now))
    waits = f", waits for {waits_for(case)}" if waits_for(case) else ""
    told = one_line(f"age {age}, last entry {last}, {state_words(case)}{waits}", 240)
    return [f"{number} {mark} {fit(title(case), width - 6)}", *wrapped(told, width, "      ")]


def _since(at: str, now: str) -> float:
    return (utc(now) - utc(at)).total_seconds()
