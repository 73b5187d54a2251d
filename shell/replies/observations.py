"""Observations of a reply: a name with one of its values in the same clause."""

from __future__ import annotations

from typing import Final

from crankpath.engine.typed.reading import Understood
from crankpath.shell.replies import words
from crankpath.shell.replies.page import Asked, Fragment, Name, Page, ParsedReading

_REACH: Final = 12  # words between a name and its value, at most


def take_observations(page: Page, names: list[Name]) -> None:
    """Take every observation named; a name that is left without a value is not understood."""
    for name in names:
        ids = page.lexicon.observed(name.called)
        if any(page.used[name.first : name.last]):
            continue
        found = {m: value for m in ids if (value := _value_of(page, m, name, names))}
        if found:
            _observe(page, name, found)
        elif len(name.stems) > 1 and name.called.exact and not _sentence_told(page, name):
            page.unknown.append(Fragment(name.first, page.text(name.first, name.last)))
            page.use(name.first, name.last)


def _sentence_told(page: Page, name: Name) -> bool:
    """Something was understood in the sentence, or it is about what is still to be done."""
    first, last = page.sentence(name.first)
    if any(p.canon in words.LATER for p in page.pieces[first:last]):
        return True
    return any(page.used[i] and page.pieces[i].kind not in ("hard", "soft") for i in range(first, last))


def _value_of(
    page: Page, measurement: str, name: Name, names: list[Name]
) -> tuple[int, int, str, bool] | None:
    """(first, last, value, negated) of a value said of a name: behind it first, then before."""
    begin, end = page.clause(name.first)
    if end == name.last < len(page.pieces) and page.pieces[end].kind == "soft":
        end = page.clause(end + 1)[1] if end + 1 < len(page.pieces) else end
    canons = page.canons()
    behind, before = (name.last, min(end, name.last + _REACH)), (max(begin, name.first - _REACH), name.first)
    for low, high in (behind, before):
        for form, value in page.lexicon.values[measurement]:
            for at in range(low, high - len(form) + 1):
                if tuple(canons[at : at + len(form)]) == form:
                    negated = any(c in words.NOT for c in canons[max(low, at - 2) : at])
                    return at, at + len(form), value, negated
    return None


def _observe(page: Page, name: Name, found: dict[str, tuple[int, int, str, bool]]) -> None:
    first = min(name.first, *(f[0] for f in found.values()))
    last = max(name.last, *(f[1] for f in found.values()))
    begin, end = page.clause(name.first)
    both = any(page.pieces[i].canon in words.BOTH for i in range(begin, end))
    text = page.text(first, last)
    negated = [m for m, f in found.items() if f[3]]
    if negated or (len(found) > 1 and not both):
        values = dict.fromkeys(v for m in found for v in ((found[m][2],) if not negated else _bands(page, m)))
        message = "Says what it is not; what is it?" if negated else "Which one is it?"
        page.ask(first, last, message, tuple(found), tuple(values))
    else:
        for m, (_, _, value, _) in found.items():
            page.taken.append(ParsedReading(first, m, text, Understood(value, text)))
    page.use(first, last)


def _bands(page: Page, measurement: str) -> tuple[str, ...]:
    return page.lexicon.measurements[measurement].choices


def settle(page: Page) -> None:
    """One observation said twice counts once; said with different values it must be asked."""
    said: dict[str, list[ParsedReading]] = {}
    for taken in page.in_order(page.taken):
        if not page.lexicon.measurements[taken.measurement].numeric:
            said.setdefault(taken.measurement, []).append(taken)
    for measurement, found in said.items():
        values = tuple(dict.fromkeys(str(t.understood.value) for t in found))
        if len(found) == 1:
            continue
        page.taken = [t for t in page.taken if t not in found]
        if len(values) == 1:
            page.taken.append(found[0])
        else:
            message = f"Two things are said of {page.lexicon.measurements[measurement].label}; which holds?"
            page.doubts.append(
                Asked(found[0].at, ", ".join(t.text for t in found), message, (measurement,), values)
            )
