"""What stands in a reply as a whole phrase: the symptom, what cannot be taken, observations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from crankpath.engine.typed.reading import Understood
from crankpath.shell.replies import words
from crankpath.shell.replies.names import runs
from crankpath.shell.replies.page import Fragment, Name, Page, ParsedReading


def symptoms(page: Page) -> list[tuple[int, bool]]:
    """Where the reply says that the symptom was there (True) or away (False)."""
    canons = page.canons()
    there = runs(canons, words.PRESENT)
    away = [run for run in runs(canons, words.AWAY) if not page.negated(canons, run[0])]
    for first, last in (*there, *away):
        page.blocked[first:last] = [True] * (last - first)
    return [*((first, True) for first, _ in there), *((first, False) for first, _ in away)]


def tell_symptoms(page: Page, stated: list[tuple[int, bool]]) -> None:
    """The sentence decides; else a statement that stands alone in its own sentence speaks for all."""
    near: dict[tuple[int, int], set[bool]] = {}
    for at, there in stated:
        near.setdefault(page.sentence(at), set()).add(there)
    read = {page.sentence(t.at) for t in page.taken if page.lexicon.measurements[t.measurement].numeric}
    alone = set().union(*(told for sentence, told in near.items() if sentence not in read))
    for i, taken in enumerate(page.taken):
        told = near.get(page.sentence(taken.at), alone)
        if len(told) == 1:
            page.taken[i] = replace(taken, symptom=next(iter(told)))


def take_cannots(page: Page) -> None:
    """Take what the reply says cannot be measured."""
    canons = page.canons()
    for first, last in runs(canons, words.CANNOT):
        until = page.clause(first)[1]
        names = page.names(last, until)[:1]
        for name in names:
            _cannot(page, name, first, name.last)
    for first, last in runs(canons, words.CANNOT_AFTER):
        begin = page.clause(first)[0]
        for name in page.names(begin, first)[-1:]:
            if name.last == first and not page.used[first]:
                _cannot(page, name, name.first, last)


def _cannot(page: Page, name: Name, first: int, last: int) -> None:
    ids = page.lexicon.numeric(name.called, None) or name.called.exact or name.called.loose
    if len(ids) == 1:
        page.cannot.append(Fragment(first, page.text(first, last), ids[0]))
    else:
        page.ask(first, last, "Which reading cannot be taken?", ids)
    page.use(first, last)


def take_sayings(page: Page) -> None:
    """Take phrases that are an observation by themselves, longest first."""
    for form, measurement, values in page.lexicon.sayings:
        canons = page.canons()
        for first in range(len(canons) - len(form) + 1):
            last = first + len(form)
            if tuple(canons[first:last]) == form and not _said_of_other(page, first, form, measurement):
                _say(page, first, last, measurement, values, canons)


def _said_of_other(page: Page, first: int, form: tuple[str, ...], measurement: str) -> bool:
    """ "Just clicks" behind the name of another observation that can have this value is its value."""
    begin, _ = page.sentence(first)
    before = page.names(begin, first)
    others = page.lexicon.observed(before[-1].called) if before else ()
    taken = any(begin <= t.at < first for t in page.taken)
    return not taken and any(
        m != measurement and any(_within(said, form) for said, _ in page.lexicon.values[m]) for m in others
    )


def _say(
    page: Page, first: int, last: int, measurement: str, values: Sequence[str], canons: list[str]
) -> None:
    label = page.lexicon.measurements[measurement].label
    if page.negated(canons, first):
        message = f"Says what it did not do; which is it for {label}?"
        page.ask(
            max(first - 1, 0), last, message, (measurement,), page.lexicon.measurements[measurement].choices
        )
    elif len(values) > 1:
        page.ask(first, last, f"{label}: {' or '.join(values)}?", (measurement,), values)
    else:
        text = page.text(first, last)
        page.taken.append(ParsedReading(first, measurement, text, Understood(values[0], text)))
    page.use(first, last)


def _within(part: tuple[str, ...], whole: tuple[str, ...]) -> bool:
    return any(whole[i : i + len(part)] == part for i in range(len(whole) - len(part) + 1))
