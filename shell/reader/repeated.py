"""The same reading more than once in a text: takes in a row, corrections, two sides of a difference."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from crankpath.engine.errors import ReadingError
from crankpath.engine.typed.reading import understand
from crankpath.engine.typed.units import number_in
from crankpath.shell.reader.figure_outcomes import MAYBE, WITH_BEFORE, ReadFigure
from crankpath.shell.reader.naming import Candidate, Naming
from crankpath.shell.reader.page import Page
from crankpath.shell.reader.pieces.tokens import Figure

_CHANGE: Final = 4  # tokens before a figure in which it falls or goes there


def settle_difference(found: Sequence[ReadFigure], naming: Naming) -> None:
    """ "12.8 on one, 12.3 on the other", where it was asked how far apart they are: that is asked back."""
    lexicon = naming.lexicon
    if naming.asked is None:
        return
    own = [f for f in found if any(c.measurement == naming.asked for c in f.candidates)]
    figures = [f.link.figure for f in own]
    sides = lexicon.single("difference").isdisjoint(lexicon.bags[naming.asked])  # then either side was read
    if sides:
        odd = [naming.fit(naming.asked, figure).score < 0 for figure in figures]
        if len(own) < len(found) or not all(odd) or any(f.best and f.best.called for f in own):
            return
    if len(own) != 2 or any(f.others or len(number_in(f.text.split()[0])) != 1 for f in figures):
        return
    a, b = (number_in(figure.text.split()[0])[0] for figure in figures)
    unit = figures[1].unit or figures[0].unit
    text = f"{abs(a - b):.6g}{f' {unit.name}' if unit else ''}"
    apart = Figure(text, unit, others=tuple(figure.text for figure in figures))
    first, second = own
    fit = naming.fit(naming.asked, apart)
    if fit.understood is None or (sides and fit.score < 0):
        return
    first.candidates = (replace(fit, score=MAYBE),)
    first.link, first.dropped, first.sure = replace(first.link, figure=apart), "", False
    first.bare, second.dropped = True, WITH_BEFORE


def settle_same(page: Page, found: list[ReadFigure], naming: Naming) -> None:
    """Figures in a row are takes of one reading; a later figure that corrects another takes its place."""
    last: ReadFigure | None = None
    since = 0
    for each in found:
        if last is not None and each.bare and _corrects(page, last, each, naming):
            each.candidates = naming.candidates(last.link.keys, each.link.figure, last.link.context)
            each.bare, each.sure = last.bare, last.sure
        if each.dropped or (each.best is None and not each.bare):
            last = None
            continue
        if last is not None and _repeats(page, last, each, naming, since):
            last.sure = last.sure and not each.link.figure.bound
            last.also = (*last.also, each.link.figure.text)
            each.dropped = WITH_BEFORE
            page.use(each.link.at, each.link.at + 1)
            since = each.link.at
            continue
        last, since = each, each.link.at
    _settle_corrected(page, found, naming)


def _corrects(page: Page, before: ReadFigure, each: ReadFigure, naming: Naming) -> bool:
    """A figure without a name that comes instead of the one before, or at another time."""
    if before.best is None or (before.bare and before.best.measurement != naming.asked):
        return False
    timed = {"correction", "now"} & each.roles or "earlier" in before.roles
    return bool(timed) or any(
        t.key in naming.lexicon.single("no") for t in page.tokens[before.link.at + 1 : each.link.at][-2:]
    )


def _repeats(page: Page, before: ReadFigure, each: ReadFigure, naming: Naming, since: int) -> bool:
    if not each.bare or before.best is None or each.link.figure.others or before.link.figure.others:
        return False
    row = page.tokens[since + 1 : each.link.at]
    joining = naming.lexicon.single("joining")
    own = range(since + 1, each.link.at)
    named = {i for first, last in before.link.runs for i in range(first, last)}
    if any(
        t.kind != "soft" and t.key not in joining for i, t in zip(own, row, strict=True) if i not in named
    ):
        return False
    if named & set(own) and naming.asked is None:
        return False
    m = naming.lexicon.knowledge.measurements[before.best.measurement]
    both = " and ".join((before.link.figure.text, *before.also, each.link.figure.text))
    try:
        understand(m, both, naming.facts)
    except ReadingError:
        return False
    return True


def _settle_corrected(page: Page, found: list[ReadFigure], naming: Naming) -> None:
    by_reading: dict[str, list[ReadFigure]] = {}
    for each in found:
        if each.best is not None and not each.dropped and each.best.score >= MAYBE:
            by_reading.setdefault(each.best.measurement, []).append(each)
    for same in by_reading.values():
        for before, after in itertools.pairwise(same):
            if _was(page, after, naming) and not _was(page, before, naming):
                after.dropped = "corrected, or from before"
            elif _takes_its_place(page, before, after, naming):
                before.dropped = "corrected, or from before"
            elif before.best and after.best and before.best.understood != after.best.understood:
                plain = after if _tells_state(before, naming) else before
                named = not plain.bare or page.key(plain.link.at - 1) in naming.lexicon.weights
                stated = _tells_state(before, naming) != _tells_state(after, naming)
                if stated and named and not _goes_to(page, plain, naming):
                    others = _same_place(plain, before.best, naming)
                    plain.sure, plain.candidates = False, (*others, *plain.candidates)
                    continue
                after.sure = False
                if after.bare and (_goes_to(page, after, naming) or _of_another_state(page, after, naming)):
                    after.candidates = (*after.candidates, *_same_place(after, after.best, naming))
                    before.candidates = (*before.candidates, *_same_place(before, before.best, naming))
                before.sure = False


def _tells_state(found: ReadFigure, naming: Naming) -> bool:
    """ "Battery 12.5, crank 9.1": one of the figures comes with the state that was asked for."""
    state = naming.lexicon.states.get(found.best.measurement if found.best else "", frozenset())
    return not state.isdisjoint((*found.link.keys, *found.link.context))


def _goes_to(page: Page, found: ReadFigure, naming: Naming) -> bool:
    """ "... it falls to 7.9": the figure is of another state than the one before."""
    words = page.tokens[max(found.link.at - _CHANGE, 0) : found.link.at]
    return any(t.key in naming.lexicon.single("change") for t in words)


def _of_another_state(page: Page, found: ReadFigure, naming: Naming) -> bool:
    """ "24.3 before, 16.9 during": a preposition with nothing behind it."""
    lexicon = naming.lexicon
    behind = page.tokens[found.link.at + 1 : found.link.at + 3]
    alone = bool(behind) and (len(behind) == 1 or behind[1].kind in ("hard", "soft"))
    dangling = lexicon.single("prepositions") - lexicon.single("turn") - lexicon.single("joining")
    return alone and behind[0].key in dangling


def _same_place(found: ReadFigure, best: Candidate, naming: Naming) -> list[Candidate]:
    """Other readings between the same two points that have such a figure."""
    readings = naming.lexicon.knowledge.measurements
    ends = readings[best.measurement].between
    others = [m.id for m in readings.values() if m.numeric and ends and m.between == ends]
    others = [m for m in others if m != best.measurement]
    likely = [(m, naming.fit(m, found.link.figure)) for m in others if naming.here(m)]
    return [replace(fit, score=best.score) for m, fit in likely if fit.score > 0]


def _was(page: Page, found: ReadFigure, naming: Naming) -> bool:
    """ "0.2 after a wire brush, was 0.8"."""
    words = page.tokens[max(found.link.at - 2, 0) : found.link.at]
    return any(t.key in naming.lexicon.single("was") for t in words)


def _takes_its_place(page: Page, before: ReadFigure, after: ReadFigure, naming: Naming) -> bool:
    between = page.tokens[before.link.at + 1 : after.link.at]
    no = any(t.key in naming.lexicon.single("no") for t in between[-2:])
    new = {"correction", "now"} & after.roles or (no and len(between) <= 4)
    if _of_another_state(page, after, naming):
        return False
    turn, now = naming.lexicon.single("turn"), naming.lexicon.single("now")
    turns = [i for i, t in enumerate(between) if t.key in turn]  # "12.6 after sitting, ..."
    turned = any(i and (between[i - 1].kind != "word" or between[i].key in now) for i in turns)
    return bool(new or "earlier" in before.roles or turned)
