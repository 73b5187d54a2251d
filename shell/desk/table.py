"""The cases of a desk as a table; a pure function of their summaries."""

from __future__ import annotations

from collections.abc import Sequence

from crankpath.shell.desk.due import due_words
from crankpath.shell.store.order import utc
from crankpath.shell.store.records import CaseSummary
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import age_words, fit, wrapped

NARROW = 60
_HEADS = ("case", "age", "since", "state")
_WIDTHS = (7, 7, 9)  # of the columns between the name and what it waits for
_LEAST_NAME = 17
_STATES = {"repaired": "proof due"}


def desk_table(
    cases: Sequence[CaseSummary],
    now: str,
    width: int,
    present: str = "",
    numbers: Sequence[str] | None = None,
) -> list[str]:
    """The cases numbered: name, age, since when it waits, state, what each waits for; on a narrow terminal
    below it.

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
    head = [] if width < NARROW else _line("  #", " ", _HEADS, "waits for", width)
    found = []
    for case in cases:
        number = f"{order.get(case.id, '-'):>3}"
        found += rows(case, number, "*" if case.id == present else " ", now, width)
    return [line.rstrip() for line in (*head, *found)]


def state_words(case: CaseSummary) -> str:
    """The state of a case as it is said."""
    return _STATES.get(case.state, case.state)


def waits_for(case: CaseSummary, now: str) -> str:
    """What the case waits for and until when; where nothing is awaited, the desk's own move."""
    if case.state == "closed":
        return ""
    said = []
    if case.due:
        said.append(due_words(case.promised, case.due, now))
    if case.waits_for and not (case.due and not case.asked_at and case.waits_for == case.promised):
        said.append(case.waits_for)
    return "; ".join(said) or "the next step"


def unanswered(case: CaseSummary, now: str) -> str:
    """Since when a message waits for its answer: "3 min"; "" where none does."""
    asked = age_words(_since(case.asked_at, now)) if case.asked_at and case.state != "closed" else "now"
    return "" if asked == "now" else asked


def title(case: CaseSummary) -> str:
    """What a case is called: who has it, its machine if that is not in the name, its name."""
    named = case.machine and case.machine.casefold() not in case.name.casefold()
    holder = f"({case.holder}) " if case.holder else ""
    return one_line(holder + (f"{case.machine}: {case.name}" if named else case.name), 120)


def _wide(case: CaseSummary, number: str, mark: str, now: str, width: int) -> list[str]:
    since = age_words(_since(case.asked_at or case.updated_at, now))
    cells = (title(case), age_words(case.age_seconds(now)), since, state_words(case))
    return _line(number, mark, cells, waits_for(case, now), width)


def _line(number: str, mark: str, cells: Sequence[str], waits: str, width: int) -> list[str]:
    """One case; what it waits for goes on below itself, as often as it must."""
    room = width - len(number) - 3 - sum(w + 1 for w in _WIDTHS)
    names = max(_LEAST_NAME, room * 6 // 10 - 2)
    last = room - names - 1
    widths = (names, *_WIDTHS)
    first, *more = wrapped(waits, last) if waits else [""]
    told = [fit(cell, size) for cell, size in zip(cells, widths, strict=True)]
    indent = " " * (width - last)
    return [" ".join((number, mark, *told, fit(first, last))), *(indent + line for line in more)]


def _narrow(case: CaseSummary, number: str, mark: str, now: str, width: int) -> list[str]:
    age, last = age_words(case.age_seconds(now)), age_words(_since(case.updated_at, now))
    asked = f", unanswered for {unanswered(case, now)}" if unanswered(case, now) else ""
    waits = f", waits for {waits_for(case, now)}" if waits_for(case, now) else ""
    told = one_line(f"age {age}, last entry {last}, {state_words(case)}{asked}{waits}", 240)
    return [f"{number} {mark} {fit(title(case), width - 6)}", *wrapped(told, width, "      ")]


def _since(at: str, now: str) -> float:
    return (utc(now) - utc(at)).total_seconds()
